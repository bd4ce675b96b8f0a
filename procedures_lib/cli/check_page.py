"""The page of a check in the manual, as plain Markdown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.reading.reader import read_page
from procedures_lib.reading.text import page_text

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from procedures_lib.cli.folders import Folders
    from procedures_lib.reading.page import Block


def page_of_check(check: str, folders: Folders) -> Path | None:
    """Return the manual's page about a check, ``checks/NAME.md``; None where it has none."""
    path = folders.pages / "checks" / f"{check}.md"
    return path if path.is_file() else None


def help_of_check(check: str, folders: Folders) -> str:
    """Return that page as Markdown that needs no site to be read; "" where there is none."""
    path = page_of_check(check, folders)
    return plain_markdown(path.read_bytes()) if path else ""


def plain_markdown(raw: bytes) -> str:
    """Return a page with its examples as ordinary code, each under what it shows."""
    text, _ = page_text(raw, "page.md")
    lines = text.split("\n")
    blocks = [b for b in read_page(raw, "page.md").blocks if b.name == "page-example"]
    for block in reversed(blocks):
        lines[block.place.line - 1 : block.end] = _example(block)
    return "\n".join(lines).strip() + "\n"


def _example(block: Block) -> Iterator[str]:
    if block.argument:
        yield from (f"*{block.argument}:*", "")
    longest = max((len(line) - len(line.lstrip("`")) for line in block.body.split("\n")), default=0)
    fence = "`" * max(3, longest + 1)
    yield from (f"{fence}md", *block.body.split("\n"), fence)
