"""The demo manual, read once, and a way to read a card back from its PDF."""

from __future__ import annotations

import io
import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pypdf
from pypdf.generic import ContentStream

from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import read_shop

if TYPE_CHECKING:
    from procedures_lib.manual import Plan

PROJECT = Path(__file__).resolve().parents[2]
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


def pages_of(pdf: bytes) -> list[str]:
    """The text of each page as an independent reader of PDF finds it, spaces made alike."""
    reader = pypdf.PdfReader(io.BytesIO(pdf), strict=True)
    return [re.sub(r"\s+", " ", page.extract_text()) for page in reader.pages]


def colours_of(pdf: bytes) -> set[tuple[str, tuple[float, ...]]]:
    """The colours that a file sets, each as its operator and its values."""
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    found = set()
    for page in reader.pages:
        content = page.get_contents()
        assert isinstance(content, ContentStream)
        for values, operator in content.operations:
            if operator in {b"g", b"G", b"rg", b"RG", b"k", b"K", b"sc", b"scn", b"SC", b"SCN"}:
                found.add((operator.decode(), tuple(float(value) for value in values)))
    return found
