"""The shop: its name, its torque wrenches and angle gauges, from ``conf/shop.toml``."""

from __future__ import annotations

import datetime
import re
import tomllib
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any, TypeVar
from urllib.parse import urlsplit

from pydantic import PrivateAttr

from procedures_lib.entities.base import Model
from procedures_lib.entities.field_types import Date, OfKind, Ref, Text, YesNo, plain, refuse
from procedures_lib.entities.fields import FieldReader
from procedures_lib.findings import Finding, Place, suggestion
from procedures_lib.quantities import Quantity
from procedures_lib.reading.scalar import Scalar, Tree
from procedures_lib.tightening.deviation import class_named, class_names
from procedures_lib.tightening.wrench import Wrench

if TYPE_CHECKING:
    from pathlib import Path


M = TypeVar("M", bound=Model)

SHOP_PAGE = "shop.toml"
"""What a finding calls the shop's file."""

_AT_LINE = re.compile(r"at line (\d+)")
_TABLE = re.compile(r"\s*\[{1,2}\s*([\w-]+)\s*\]")
_KEY = re.compile(r"\s*([\w-]+)\s*=")
_MOST_DEGREES = re.compile(r"(\d+(?:\.\d+)?)\s*(?:°|deg)")


def _deviation_class(value: Any) -> str:
    text = str(value).strip()
    found = class_named(text)
    if text and not found:
        refuse("unknown-word", f"`{text}` is no class of ISO 6789-1",
               f"known here: {', '.join(class_names())}")  # fmt: skip
    return found


def _address(value: Any) -> str:
    text = str(value).strip()
    if text and not _is_site(text):
        refuse("unknown-word", f"`{text}` is no address of a site",
               "write where the manual is served: `https://manual.example/`")  # fmt: skip
    return text


def _is_site(text: str) -> bool:
    """Tell whether a text is an address that page names can be put behind."""
    try:
        parts = urlsplit(text)
        host = parts.hostname
    except ValueError:
        return False
    bare = text.isascii() and text.isprintable() and " " not in text
    more = parts.query or parts.fragment
    return bare and parts.scheme in {"http", "https"} and bool(host) and not more


Address = Annotated[str, *plain(_address, {"type": "string"})]

DeviationClass = Annotated[str, *plain(_deviation_class, {"type": "string"})]


class TorqueWrench(Model):
    """A torque wrench: ``range`` is what its scale is marked with (ISO 6789-1:2017, 5.1.3).

    ``length`` is from its square to the middle of its grip; an adapter asks for it.
    """

    id: Ref
    name: Text
    range: Annotated[Quantity, OfKind("torque")]
    drive: Text = ""
    deviation_class: DeviationClass = ""
    length: Annotated[Quantity, OfKind("length")] | None = None
    last_calibrated: Date | None = None
    calibration_due: Date | None = None

    @cached_property
    def plain(self) -> Wrench:
        """The wrench as a plain value, for choosing."""
        least, most = self.scale
        return Wrench(
            id=str(self.id),
            name=self.name,
            least=least,
            most=most,
            deviation_class=self.deviation_class,
            shows=self.shows_torque,
            drive=self.drive,
            length=self.length.si * 1000 if self.length else None,
            due=self.calibration_due,
        )

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

    @property
    def most_degrees(self) -> float | None:
        """The end of its scale in degrees; None when its range does not tell."""
        found = _MOST_DEGREES.findall(self.range)
        return float(found[-1]) if found else None


class Shop(Model):
    """The shop as its settings name it.

    It does not know what day it is, so that a manual builds alike on every day: see
    :meth:`judged_on`.
    """

    name: Text = "The shop"
    manual: Text = "Manual"
    notice: Text = ""
    address: Address = ""
    invented: YesNo = False
    torque_wrenches: tuple[TorqueWrench, ...] = ()
    angle_gauges: tuple[AngleGauge, ...] = ()
    _day: datetime.date | None = PrivateAttr(default=None)

    @property
    def day(self) -> datetime.date | None:
        """The day for which calibrations are judged; None, and they are not, in a build."""
        return self._day

    def judged_on(self, day: datetime.date | None) -> Shop:
        """Return the shop with its calibrations judged for a day."""
        shop = self.model_copy()
        shop._day = day
        return shop

    @property
    def wrenches(self) -> tuple[Wrench, ...]:
        """The torque wrenches as plain values, for choosing."""
        return tuple(wrench.plain for wrench in self.torque_wrenches)


def read_shop(path: Path) -> tuple[Shop, list[Finding]]:
    """Read the settings; what is wrong is among the findings, and the rest is used.

    A missing file gives a shop without wrenches and no finding.
    """
    page = SHOP_PAGE
    if not path.is_file():
        return Shop(), []
    try:
        text = path.read_text(encoding="utf-8-sig")
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        line = int(match[1]) if (match := _AT_LINE.search(str(error))) else 1
        found = Finding(Place(page, line), "unreadable-page", f"{path.name} is not TOML: {error}",
                        "look at the line it names")  # fmt: skip
        return Shop(), [found]
    return _shop(_Settings(data, text), FieldReader(page))


def _shop(settings: _Settings, reader: FieldReader) -> tuple[Shop, list[Finding]]:
    known = {"shop", "torque-wrench", "angle-gauge"}
    for key in settings.names - known:
        reader.find(settings.line(key), "unknown-field", f"there is no table `{key}` here",
                    suggestion(key, known))  # fmt: skip
    shop = reader.model(
        Shop,
        settings.table("shop"),
        settings.line("shop"),
        "the shop",
        torque_wrenches=_tools(TorqueWrench, "torque-wrench", settings, reader),
        angle_gauges=_tools(AngleGauge, "angle-gauge", settings, reader),
    )
    return shop or Shop(), reader.findings


def _tools(model: type[M], name: str, settings: _Settings, reader: FieldReader) -> tuple[M, ...]:
    tools = []
    for n in range(settings.count(name)):
        line = settings.line(name, n)
        tool = reader.model(model, settings.table(name, n), line, f"this {name}")
        tools += [] if tool is None else [tool]
    return tuple(tools)


class _Settings:
    """The tables of a TOML text, each value with the line it is found on."""

    def __init__(self, data: dict[str, Any], text: str) -> None:
        self._tables = {
            name: value if isinstance(value, list) else [value] for name, value in data.items()
        }
        self._lines: dict[tuple[str, int, str], int] = {}
        seen: dict[str, int] = {}
        table = ""
        for number, line in enumerate(text.split("\n"), start=1):
            if match := _TABLE.match(line):
                table = match[1]
                seen[table] = seen.get(table, -1) + 1
                self._lines[table, seen[table], ""] = number
            elif match := _KEY.match(line):
                place = (table, seen.get(table, 0), match[1]) if table else (match[1], 0, "")
                self._lines.setdefault(place, number)

    @property
    def names(self) -> set[str]:
        """The names of the outermost tables and keys."""
        return set(self._tables)

    def count(self, name: str) -> int:
        """How many tables of that name there are."""
        return len(self._tables.get(name, []))

    def line(self, name: str, n: int = 0, key: str = "") -> int:
        """The line of a table or of one of its keys; 1 when it can't be found."""
        return self._lines.get((name, n, key)) or self._lines.get((name, n, ""), 1)

    def table(self, name: str, n: int = 0) -> Tree | None:
        """The table as nested text."""
        if n >= self.count(name):
            return None
        value, line = self._tables[name][n], self.line(name, n)
        if not isinstance(value, dict):
            return _tree(value, line)
        lines = {key: self.line(name, n, key) for key in value}
        return {Scalar(key, lines[key]): _tree(inner, lines[key]) for key, inner in value.items()}


def _tree(value: Any, line: int) -> Tree:
    if isinstance(value, dict):
        return {Scalar(key, line): _tree(inner, line) for key, inner in value.items()}
    if isinstance(value, list):
        return [_tree(item, line) for item in value]
    if isinstance(value, bool):
        return Scalar(str(value).lower(), line)
    return Scalar(str(value), line)
