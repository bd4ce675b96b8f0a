"""A small manual with a shop, and a complete record of its procedure."""

from __future__ import annotations

from typing import Any

from procedures_lib.judging.records.readings import procedure_digest
from procedures_lib.judging.records.record import read_record
from procedures_lib.judging.records.record_check import check_record
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.shop import AngleGauge, Shop, TorqueWrench
from tests.helpers import manual_from
from tests.mule import PAGES

_WRENCH = {
    "id": "click-25",
    "name": "Click wrench 25 N·m",
    "range": "5–25 N·m",
    "deviation-class": "II A",
    "calibration-due": "2027-08-17",
}
_GAUGE = {"id": "gauge", "name": "Gauge", "check-due": "2027-09-02"}
SHOP = Shop(
    torque_wrenches=(TorqueWrench.model_validate(_WRENCH),),
    angle_gauges=(AngleGauge.model_validate(_GAUGE),),
)
AT = "2026-11-25T14:05:00+01:00"


def shop_manual() -> Manual:
    """The mule with a shop that has one wrench and one gauge."""
    return manual_from(PAGES, SHOP)


def mule_plan(manual: Manual) -> Plan:
    """The one procedure of that manual."""
    head = manual.head(Procedure, "renew-cover")
    assert head is not None
    return manual.plan(head)


def reading(joint: str, stage: int, value: str, unit: str, wrench: str) -> dict[str, Any]:
    """A reading at step 2."""
    return {
        "step": 2, "joint": joint, "stage": stage, "value": value, "unit": unit,
        "wrench": wrench, "initials": "AB", "at": AT,
    }  # fmt: skip


def complete(**changed: Any) -> dict[str, Any]:
    """A complete record of the procedure on a manual car, some of its fields changed."""
    record = {
        "format": 1,
        "procedure": "renew-cover",
        "revision": "A",
        "digest": procedure_digest(mule_plan(shop_manual())),
        "car": {"transmission": "manual"},
        "steps": [{"number": 1, "done": AT}, {"number": 2, "done": AT}],
        "readings": [
            reading("cover-bolts", 2, "10", "N·m", "click-25"),
            reading("side-bolt", 1, "21", "N·m", "click-25"),
            reading("side-bolt", 2, "60", "°", "gauge"),
        ],
    }
    return {**record, **changed}


def changed_reading(n: int, **fields: Any) -> dict[str, Any]:
    """A complete record with fields of one reading changed."""
    record = complete()
    record["readings"][n] |= fields
    return record


def found(value: dict[str, Any], manual: Manual | None = None) -> list[tuple[str, str]]:
    """Read and check a record: (path, check) of each finding."""
    record, findings = read_record(value)
    if record is not None:
        findings = [*findings, *check_record(record, manual or shop_manual())]
    return [(finding.path, finding.check) for finding in findings]
