"""The demo manual, read once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.shop import read_shop

PROJECT = Path(__file__).resolve().parents[1]
CARDS = [
    ("fit-bd-310", ""),
    ("fit-bd-420", ""),
    ("fit-bd-420", "axle=locking"),
    ("fit-bd-530", "axle=locking"),
    ("fit-tf-140", ""),
    ("fit-tf-180", "transmission=manual"),
    ("fit-tf-180", "transmission=automatic"),
    ("fit-tf-220", ""),
    ("fit-tf-220", "transmission=manual and tow-eye=absent"),
    ("fit-tf-220", "transmission=automatic"),
    ("fit-tf-260", "side-airbags=absent"),
    ("load-tf-100", ""),
]
"""Procedures of the demo, with the cars that a card is made for."""
TIGHTENS_NOTHING = frozenset({"front-wheels-off-finch"})
"""What only takes off, and hands on."""


@cache
def demo() -> Manual:
    """The demo manual with its shop."""
    shop, findings = read_shop(PROJECT / "conf" / "shop.toml")
    assert findings == []
    return Manual.read(PROJECT / "docs", shop)


def demo_plan(name: str) -> Plan:
    """A procedure of the demo."""
    head = demo().head(Procedure, name)
    assert head is not None
    return demo().plan(head)


def hands_on(plan: Plan) -> bool:
    """Whether it says that it leaves something open."""
    return isinstance(plan.head, Procedure) and bool(plan.head.ends_with)
