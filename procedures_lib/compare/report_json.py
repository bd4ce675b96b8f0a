"""A comparison as a value for JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.quantities import NO_BREAK_SPACE

if TYPE_CHECKING:
    from collections.abc import Callable

    from procedures_lib.compare.change import Change, Comparison
    from procedures_lib.findings import Place

    Shown = Callable[[str], str]

FORMAT = 1


def json_report(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> dict[str, Any]:
    """Return ``{format, old, new, changes, prose_only, unread, findings}``, in the report's order.

    ``path`` is relative to the current folder, ``page`` to the folder of pages.
    """
    return {
        "format": FORMAT,
        "old": names[0],
        "new": names[1],
        "changes": [_change(change, shown) for change in comparison.changes],
        "prose_only": list(comparison.prose_only),
        "unread": [
            {**_place(each.place, shown), "side": each.side, "what": each.what, "why": each.why}
            for each in comparison.unread
        ],
        "findings": [
            {
                **_place(finding.place, shown),
                "level": str(finding.level),
                "check": finding.check,
                "message": finding.message,
                "hint": finding.hint,
                "related": [{"page": place.page, "line": place.line} for place in finding.related],
            }
            for finding in comparison.findings
        ],
    }


def _change(change: Change, shown: Shown) -> dict[str, Any]:
    was = {"page": change.was.page, "line": change.was.line} if change.was else None
    return {
        **_place(change.place, shown),
        "group": change.group.name.lower(),
        "topic": change.topic,
        "kind": change.thing.kind,
        "id": change.thing.id,
        "name": change.thing.name,
        "act": str(change.act),
        "old": _spaced(change.old),
        "new": _spaced(change.new),
        "note": _spaced(change.note),
        "same_amount": change.same,
        "was": was,
        "used": [{"procedure": use.procedure, "steps": list(use.steps)} for use in change.used],
        "kits": list(change.kits),
    }


def _place(place: Place, shown: Shown) -> dict[str, Any]:
    return {"path": shown(place.page), "page": place.page, "line": place.line}


def _spaced(text: str) -> str:
    return text.replace(NO_BREAK_SPACE, " ")
