"""The shop: its name, its torque wrenches and angle gauges, from ``conf/shop.toml``."""

from __future__ import annotations

import datetime
import os
import re
from functools import cached_property
from pathlib import Path
from typing import Annotated, Any, TypeVar
from urllib.parse import urlsplit

from pydantic import PrivateAttr

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.engineering.quantities.conversion import TORQUE_UNITS
from procedures_lib.engineering.tightening.wrench import Wrench, class_named, class_names
from procedures_lib.findings import Finding, SlipError
from procedures_lib.language.entities.entity import Model, fields_of
from procedures_lib.language.entities.field_reader import FieldReader
from procedures_lib.language.entities.field_types import (
    STRINGS,
    Date,
    OfKind,
    OneOf,
    Ref,
    Text,
    YesNo,
    many,
    one,
    plain,
    refuse,
)
from procedures_lib.language.reading.page import Scalar
from procedures_lib.manual.archive_settings import ArchiveSettings
from procedures_lib.manual.remark_ways import RemarkWays
from procedures_lib.manual.shop_file import (
    Tables,
    TomlReader,
    kind_of,
    read_tables,
    takes,
    wanted_by,
)
from procedures_lib.spelling import nearest, suggestion

M = TypeVar("M", bound=Model)

SHOP_PAGE = "shop.toml"
"""What a finding calls the shop's file."""

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


ANGLES, EVERYTHING = "angles", "everything"
WITNESSED = ("brakes", "steering", "wheels", "fuel", ANGLES)
"""What a shop wants a witness for that does not say: systems, and joints with an angle stage."""


def _witnessed(value: Any) -> tuple[Scalar, ...]:
    known = (*WITNESSED, EVERYTHING)
    words = tuple(one(word) for word in many(value))
    for word in words:
        if word not in known:
            refuse("unknown-word", f"`{word}` is nothing that a witness can be asked for",
                   suggestion(word, known), getattr(word, "line", 0))  # fmt: skip
    return words


Witnessed = Annotated[tuple[Scalar, ...], *plain(_witnessed, STRINGS, list)]

HEADS = {
    "shop": "[shop]",
    "remarks": "[remarks]",
    "archive": "[archive]",
    "torque-wrench": "[[torque-wrench]]",
    "angle-gauge": "[[angle-gauge]]",
}
"""How the head of each table is written."""


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
            unit=self.range.unit,
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

    ``witnessed`` is what must be typed a second time: a file that does not say asks for
    :data:`WITNESSED`, a manual without a file for nothing.

    It does not know what day it is, so that a manual builds alike on every day: see
    :meth:`judged_on`.
    """

    name: Text = "The shop"
    manual: Text = "Manual"
    notice: Text = ""
    address: Address = ""
    invented: YesNo = False
    torque_unit: Annotated[str, OneOf(*TORQUE_UNITS)] = TORQUE_UNITS[0]
    witnessed: Witnessed = ()
    torque_wrenches: tuple[TorqueWrench, ...] = ()
    angle_gauges: tuple[AngleGauge, ...] = ()
    remark_ways: RemarkWays = RemarkWays()
    archive: ArchiveSettings = ArchiveSettings()
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

    A missing file gives a shop without wrenches and no finding. A file that is there names the
    shop: `name` under `[shop]` is needed, all else may be left out.
    """
    if not os.path.lexists(path):
        return Shop(), []
    try:
        tables = read_tables(path)
    except SlipError as error:
        return Shop(), [error.on(SHOP_PAGE)]
    return _shop(tables, TomlReader(SHOP_PAGE))


def unknown_tables(settings: Tables, reader: FieldReader, meant: str = "") -> None:
    """Find the tables that are not known; with ``meant`` those alone that are a slip of it."""
    known = HEADS.keys()
    for key in sorted(settings.names - known):
        if not meant or nearest(key, known) == meant:
            reader.find(settings.line(key), "unknown-field", f"there is no table `{key}` here",
                        suggestion(key, known))  # fmt: skip


def _shop(settings: Tables, reader: FieldReader) -> tuple[Shop, list[Finding]]:
    unknown_tables(settings, reader)
    shop = _table(
        Shop,
        "shop",
        0,
        settings,
        reader,
        torque_wrenches=_tools(TorqueWrench, "torque-wrench", settings, reader),
        angle_gauges=_tools(AngleGauge, "angle-gauge", settings, reader),
        remark_ways=_remark_ways(settings, reader),
        archive=archive_in(settings, reader),
    )
    _one_shop(shop, settings, reader)
    shop = shop or Shop()
    if "witnessed" not in settings.raw("shop"):
        shop = shop.model_copy(update={"witnessed": tuple(map(Scalar, WITNESSED))})
    return shop, reader.findings


def archive_in(settings: Tables, reader: FieldReader) -> ArchiveSettings:
    """Read what is said of the archive; a second table is found, and the first one counts."""
    if settings.count("archive") > 1:
        reader.find(settings.line("archive", 1), "wrong-shape", "there is one archive, not a list",
                    f"write `{HEADS['archive']}`, once")  # fmt: skip
    return _table(ArchiveSettings, "archive", 0, settings, reader) or ArchiveSettings()


def _one_shop(shop: Shop | None, settings: Tables, reader: FieldReader) -> None:
    """Find a missing table or name of the shop, and a second table."""
    hint = f'write `{HEADS["shop"]}`, once, and below it `name = "…"`, the head of every page'
    raw = settings.raw("shop")
    named = "name" in raw or shop is None or "name" in shop.model_fields_set
    if settings.count("shop") == 0:
        reader.find(1, "missing-field", "the table `[shop]` is missing, and the shop's name", hint)
    elif raw and settings.is_list("shop"):
        reader.find(settings.line("shop"), "wrong-shape", "there is one shop, not a list", hint)
    elif not named and settings.is_table("shop"):
        reader.find(settings.line("shop"), "missing-field", "the shop needs `name`",
                    'add `name = "…"` below it: it stands at the head of every page')  # fmt: skip


def _remark_ways(settings: Tables, reader: FieldReader) -> RemarkWays:
    if settings.is_list("remarks") and settings.raw("remarks"):
        reader.find(settings.line("remarks"), "wrong-shape", "there is one table `remarks`, not "
                    "a list", f"write `{HEADS['remarks']}`, once")  # fmt: skip
    return _table(RemarkWays, "remarks", 0, settings, reader) or RemarkWays()


def _table(
    model: type[M],
    name: str,
    n: int,
    settings: Tables,
    reader: FieldReader,
    **given: Any,
) -> M | None:
    """Read the n-th table of a name; values of a wrong type are findings and are left out."""
    tree, line = settings.table(name, n), settings.line(name, n)
    if tree is not None and not isinstance(tree, dict):
        reader.find(line, "unreadable-block", f"`{name}` is a table, and not a single value",
                    f"write `{HEADS[name]}`, and below it one `key = value` a line")  # fmt: skip
        return None if model is not Shop else model(**given)
    wrong = _wrong_types(model, name, n, settings, reader)
    fields = {key: value for key, value in (tree or {}).items() if key not in wrong}
    what = {
        Shop: "the shop",
        ArchiveSettings: "the archive",
        RemarkWays: "the table `remarks`",
    }.get(model, f"this {name}")
    return reader.model(model, fields, line, what, wrong, **given)


def _wrong_types(
    model: type[Model], name: str, n: int, settings: Tables, reader: FieldReader
) -> frozenset[str]:
    """Find the values that are no text where a text is wanted, no date, and so on."""
    wrong = set()
    for key, value in settings.raw(name, n).items():
        attribute = fields_of(model).get(key)
        annotation = model.model_fields[attribute].annotation if attribute else None
        if attribute and not takes(annotation, value):
            wrong.add(key)
            wanted, cure = wanted_by(annotation)
            reader.find(settings.line(name, n, key), "wrong-shape",
                        f"`{key}`: {kind_of(value)} stands here, and {wanted} is wanted",
                        f"write `{key} = {cure}`")  # fmt: skip
    return frozenset(wrong)


def _tools(model: type[M], name: str, settings: Tables, reader: FieldReader) -> tuple[M, ...]:
    tools = []
    for n in range(settings.count(name)):
        tool = _table(model, name, n, settings, reader)
        tools += [] if tool is None else [tool]
    return tuple(tools)
