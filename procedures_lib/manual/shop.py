"""The shop: its name, its torque wrenches and angle gauges, from ``conf/shop.toml``."""

from __future__ import annotations

import tomllib
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any

from procedures_lib.entities.base import Model
from procedures_lib.entities.field_types import Date, OfKind, Ref, Text, YesNo
from procedures_lib.entities.fields import FieldReader
from procedures_lib.findings import Finding, Place
from procedures_lib.quantities import Quantity
from procedures_lib.reading.scalar import Scalar, Tree

if TYPE_CHECKING:
    from pathlib import Path


class TorqueWrench(Model):
    """A torque wrench: ``range`` is what its scale is marked with (ISO 6789-1:2017, 5.1.3)."""

    id: Ref
    name: Text
    range: Annotated[Quantity, OfKind("torque")]
    drive: Text = ""
    deviation_class: Text = ""
    last_calibrated: Date | None = None
    calibration_due: Date | None = None

    @cached_property
    def scale(self) -> tuple[float, float]:
        """The least and the most that its scale is marked with, in N·m."""
        least, most = self.range.exact("N·m")
        return float(least), float(most)

    @property
    def shows_torque(self) -> bool:
        """Whether it is of type I (it shows the torque) and not II (it is set, and clicks)."""
        return self.deviation_class.split(" ")[0] == "I"


class AngleGauge(Model):
    """A gauge for angle stages."""

    id: Ref
    name: Text
    drive: Text = ""
    range: Text = ""
    step: Text = ""
    last_checked: Date | None = None
    check_due: Date | None = None


class Shop(Model):
    """The shop as its settings name it."""

    name: Text = "The shop"
    manual: Text = "Manual"
    notice: Text = ""
    invented: YesNo = False
    torque_wrenches: tuple[TorqueWrench, ...] = ()
    angle_gauges: tuple[AngleGauge, ...] = ()


def read_shop(path: Path) -> tuple[Shop, list[Finding]]:
    """Read the settings; what is wrong is among the findings, and the rest is used.

    A missing file gives a shop without wrenches and no finding.
    """
    page = "shop.toml"
    if not path.is_file():
        return Shop(), []
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        found = Finding(Place(page, 1), "unreadable-page", f"{path.name} is not TOML: {error}",
                        "look at the line it names")  # fmt: skip
        return Shop(), [found]
    reader = FieldReader(page)
    known = {"shop", "torque-wrench", "angle-gauge"}
    for key in data.keys() - known:
        reader.find(1, "unknown-field", f"{path.name} has no table `{key}`",
                    f"known: {', '.join(sorted(known))}")  # fmt: skip
    shop = reader.model(
        Shop,
        _tree(data.get("shop", {})),
        1,
        "the shop",
        torque_wrenches=_tools(TorqueWrench, data.get("torque-wrench", []), reader),
        angle_gauges=_tools(AngleGauge, data.get("angle-gauge", []), reader),
    )
    return shop or Shop(), reader.findings


def _tools(model: type[Any], tables: Any, reader: FieldReader) -> tuple[Any, ...]:
    tools = (
        reader.model(model, _tree(table), 1, f"the tool `{table.get('id', '?')}`")
        for table in tables
    )
    return tuple(tool for tool in tools if tool is not None)


def _tree(value: Any) -> Tree:
    if isinstance(value, dict):
        return {Scalar(key): _tree(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_tree(item) for item in value]
    if isinstance(value, bool):
        return Scalar(str(value).lower())
    return Scalar(str(value))
