"""A page rewritten in steps, each kept only if the checks find nothing new after it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable

from procedures_lib.judging.checks import check_page
from procedures_lib.judging.checks.catalogue import CATALOGUE
from procedures_lib.judging.fixing.rewrites import Edit, applied, do_edits, typed_edits, unit_edits
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual

Step = Callable[[Manual, str, str], Iterable[Edit]]
_STEPS: tuple[Step, ...] = (unit_edits, do_edits, typed_edits)

_BOM = "\ufeff"
_OF_WRITING = frozenset({"reading", "quantities", "drift"})


def fix_page(manual: Manual, page: str, raw: bytes) -> bytes:
    """Return the bytes of a page after the safe rewrites; the same bytes when there are none.

    ``raw`` is the page as the manual has read it. Line ends, a byte-order mark and all that is not
    rewritten stay byte for byte. A page that can't be read is returned as it is.
    """
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw
    mark = _BOM if text.startswith(_BOM) else ""
    text = text.removeprefix(_BOM)
    for step in _STEPS:
        manual, text = _kept(manual, page, text, step)
    return (mark + text).encode()


def _kept(manual: Manual, page: str, text: str, step: Step) -> tuple[Manual, str]:
    """The manual and the text after a step; as they were when it brings a finding about."""
    edits = list(step(manual, page, text))
    new = applied(text, edits)
    if new == text:
        return manual, text
    after = manual.with_pages([build(read_page(new.encode(), page))])
    return (manual, text) if _is_worse(_said(manual, page), _said(after, page)) else (after, new)


def _is_worse(before: Counter[str], after: Counter[str]) -> bool:
    """Tell whether something new is found; what only shows once a step can be read is not new."""
    new, mended = after - before, before - after
    return any(CATALOGUE[check].family in _OF_WRITING or not mended for check in new)


def _said(manual: Manual, page: str) -> Counter[str]:
    """What the checks find on a page; without lines, which may be others now."""
    return Counter(finding.check for finding in check_page(manual, page))
