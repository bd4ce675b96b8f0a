"""The remarks of a record: as lines, as values for a program, their photographs as files."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from procedures_lib.findings import printable
from procedures_lib.fronts.cli.arguments import relative
from procedures_lib.fronts.cli.publishing.disk import arriving
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.judging.records.record import Record, Remark
from procedures_lib.judging.records.remarks import KINDS, photograph_of
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual


def remark_lines(record: Record, manual: Manual) -> Iterator[str]:
    """Yield a line for each remark: step, kind, what was typed, when, and the photograph's size.

    The step's title is that of the page as it is now, left out for a record of another revision.
    """
    titles = _titles(record, manual)
    for remark in record.remarks:
        title = f" ({titles[remark.step]})" if remark.step in titles else ""
        kind = KINDS.get(remark.kind, remark.kind[:60])
        text = f": {remark.text}" if remark.text else ""
        yield printable(spaced(f"remark on step {remark.step}{title}: {kind}{text}{_more(remark)}"))


def _titles(record: Record, manual: Manual) -> dict[int, str]:
    head = manual.head(Procedure, record.procedure)
    if head is None or head.revision != record.revision:
        return {}
    return {numbered.number: numbered.step.title for numbered in manual.plan(head).steps}


def _more(remark: Remark) -> str:
    found = photograph_of(remark)
    size = f"photograph of {found.width} × {found.height}" if found else ""
    facts = [f"{remark.at:%Y-%m-%d %H:%M}" if remark.at else "", size]
    told = ", ".join(fact for fact in facts if fact)
    return f" [{told}]" if told else ""


def remark_values(record: Record) -> list[dict[str, Any]]:
    """Return the remarks for a program; of a photograph its sides in pixels, None without one."""
    return [
        {
            "step": remark.step,
            "kind": remark.kind,
            "text": remark.text,
            "at": remark.at.isoformat() if remark.at else "",
            "photograph": _size(remark),
        }
        for remark in record.remarks
    ]


def _size(remark: Remark) -> dict[str, int] | None:
    found = photograph_of(remark)
    return {"width": found.width, "height": found.height} if found else None


def write_photographs(record: Record, stem: str, folder: Path) -> list[Path]:
    """Write the photographs into a folder as ``STEM-step-16-wrong.jpg``; Refused over another file.

    ``stem`` is the record file's; a photograph that lies there already, the same, is left alone.
    """
    written: list[Path] = []
    for remark in record.remarks:
        found = photograph_of(remark)
        if found is None:
            continue
        kind = remark.kind if remark.kind in KINDS else "remark"
        path = _free(folder / f"{stem}-step-{remark.step}-{kind}.jpg", written)
        if path.is_symlink() or (path.exists() and path.read_bytes() != found.raw):
            raise Refused(f"{relative(path)} is there already, and is another picture: name "
                          "another folder.")  # fmt: skip
        with arriving(path, found.raw) as made:
            made.replace(path)
        written.append(path)
    return written


def _free(path: Path, written: list[Path]) -> Path:
    """The name, or with a number where a remark before this one has it."""
    found, n = path, 2
    while found in written:
        found, n = path.with_stem(f"{path.stem}-{n}"), n + 1
    return found
