"""One thing that can be found: its name, the number that is wanted of it, and where it stands."""

from __future__ import annotations

from typing import NamedTuple

KINDS = {
    "f": "Fastener",
    "p": "Part",
    "c": "Connection",
    "l": "Fluid",
    "t": "Tool",
    "u": "Supply",
    "s": "Step",
    "v": "Car",
    "k": "Kit",
    "g": "Page",
    "h": "Section",
}
"""The kinds of row, by the letter that stands for them in the files."""


class Row(NamedTuple):
    """A row as one page shows it.

    ``key`` is (home page without its ending, what it is there): rows of several pages with one key
    are one hit, which leads to any of them. ``shown`` is the number or text wanted of it.
    ``target`` is its place on this page, as ``kind:id`` ("" for the top). ``strong`` are the terms
    of what it is called and measured, ``weak`` those of what is said of it.
    """

    kind: str
    key: tuple[str, str]
    name: str
    target: str
    shown: str = ""
    when: str = ""
    strong: tuple[str, ...] = ()
    weak: tuple[str, ...] = ()


def key_of(page: str, name: str) -> tuple[str, str]:
    """Return the key of what stands on a page under a name."""
    return page.removesuffix(".md"), name
