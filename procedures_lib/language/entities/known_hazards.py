"""What a page says of a hazard that the library knows: more than the library, never less."""

from __future__ import annotations

from procedures_lib.language.entities.field_reader import FieldReader
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS, BuiltinHazard
from procedures_lib.language.reading.block_kinds import SIGNAL_WORDS
from procedures_lib.language.reading.page import Scalar, Tree, line_of

DECLARED = "declared"
"""What the library says of a hazard that each car has its own way of making safe."""

_LISTS = ("tools", "protection")


def with_known(name: str, tree: Tree, line: int, reader: FieldReader) -> Tree:
    """Return the fields of a hazard, those of a built-in one filled in where the page has none.

    What a page says to make a built-in hazard weaker is a finding, and the library's word stands.
    """
    known = BUILTIN_HAZARDS.get(name)
    if known is None or not isinstance(tree, dict):
        return tree
    fields = dict(tree)
    for field, weaker, hint in _weakened(known, fields):
        at = line_of(fields[Scalar(field)], line)
        reader.find(at, "hazard-weakened", f"`{name}`: {weaker}", hint)
        del fields[Scalar(field)]
    for field in _LISTS:
        own = fields.get(Scalar(field), [])
        more = [Scalar(each, line) for each in getattr(known, field)]
        if more:
            fields[Scalar(field, line)] = [*more, *(own if isinstance(own, list) else [own])]
    for field, text in _filled(known):
        if text and field not in fields:
            fields[Scalar(field, line)] = Scalar(text, line)
    return fields


def _filled(known: BuiltinHazard) -> tuple[tuple[str, str], ...]:
    """What the library says, by field."""
    declared = known.made_safe_by == DECLARED
    return (
        ("name", known.name),
        ("signal", known.signal),
        ("harm", known.harm),
        ("avoid", known.avoid),
        ("made-safe-by", known.unless_declared if declared else known.made_safe_by),
        ("licensed", "true" if known.licensed else ""),
    )


def _weakened(known: BuiltinHazard, fields: dict[Scalar, Tree]) -> list[tuple[str, str, str]]:
    """The fields that make a built-in hazard weaker, each with how, and what to write instead."""
    found = []
    words = [word.upper() for word in SIGNAL_WORDS]
    signal = str(fields.get(Scalar("signal"), ""))
    if signal in words and words.index(signal) > words.index(known.signal):
        said = f"its signal word is {known.signal}, and {signal} is weaker"
        found.append(("signal", said, "leave `signal` out, or give a graver word"))
    if known.licensed and str(fields.get(Scalar("licensed"), "")).lower() in {"false", "no"}:
        said = "its work is left to licensed people, which a page can't take back"
        found.append(("licensed", said, "leave `licensed` out"))
    safe = fields.get(Scalar("made-safe-by"))
    fixed = known.made_safe_by not in {"", DECLARED}
    if fixed and safe is not None and str(safe).strip() != known.made_safe_by:
        said = f"it is made safe by `{known.made_safe_by}` and nothing else"
        found.append(("made-safe-by", said, "leave `made-safe-by` out"))
    return found
