"""Quantities typed by hand: a torque to the role of its joint, any other into ``{q}``."""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING

from procedures_lib.checks.prose import hand_typed
from procedures_lib.entities.car import Fastener
from procedures_lib.fixing.raw import Edit, lines_of
from procedures_lib.fixing.units import spelled
from procedures_lib.manual.names import name_of
from procedures_lib.quantities import QuantityError, find_quantities, read_quantity
from procedures_lib.tightening import StageKind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Manual, Scope
    from procedures_lib.quantities import Quantity
    from procedures_lib.quantities.finding import TypedQuantity

_NO_PROSE = re.compile(r"\s*(?:#{1,6}\s|`{3,}|:{3,}|~{3,}|:[\w-]+:|\[[^\]]+\]:)")
"""Lines on which a role would be shown as it is typed, or would change an anchor."""
_UNTOUCHED = re.compile(
    r"\{[\w-]+\}`[^`]*`|(`+)(?!`).*?(?<!`)\1(?!`)|<!--.*?-->|<[^>]*>|\]\([^)]*\)|\\."
)
"""Roles, code, comments, HTML and addresses within a line."""
_ROLE = re.compile(r"\{(?:fastener|torque)\}`([^`]*)`")


def typed_edits(manual: Manual, page: str, text: str) -> Iterator[Edit]:
    """Yield the edits that put typed quantities into roles, where there is no doubt.

    A torque becomes that of a joint only when one joint in reach has it, and no other, and when
    the words before it, in the same paragraph, name that joint. An angle is left alone.
    """
    lines = [line for line, _ in lines_of(text)]
    found: dict[int, list[str]] = {}
    for finding in hand_typed(manual, page):
        found.setdefault(finding.place.line, []).append(finding.message)
    for number, messages in sorted(found.items()):
        line = lines[number - 1]
        typed = find_quantities(masked(line))
        if _NO_PROSE.match(line) or not _same(typed, messages):
            continue
        for each in typed:
            role = _role(each, _before(lines, number, each.start), manual.scope(page))
            if role:
                yield Edit(number, each.start, each.end, role)


def masked(line: str) -> str:
    """Return a line with all that is no prose replaced by signs that are part of no quantity."""
    return _UNTOUCHED.sub(lambda match: "\ufffc" * len(match[0]), line)


def _same(typed: tuple[TypedQuantity, ...], messages: list[str]) -> bool:
    """Tell whether the quantities seen in a line are those that the check found there."""
    return Counter(messages) == Counter(
        f"the {each.kind} {each.text} is typed by hand" for each in typed
    )


def _role(typed: TypedQuantity, before: str, scope: Scope) -> str:
    if typed.kind == "torque":
        joint = _joint(typed.text, scope)
        return f"{{torque}}`{joint.id}`" if joint and _named(joint, before, scope) else ""
    if typed.kind == "angle" or "`" in typed.text:
        return ""
    return f"{{q}}`{spelled(typed.text, (typed.kind,))}`"


def _joint(text: str, scope: Scope) -> Fastener | None:
    """The one joint whose only stage is this torque; None when there is none, or another."""
    try:
        amount = read_quantity(text, "torque")
    except QuantityError:
        return None
    joints = [each for each in scope.all(Fastener) if any(_is(each, n, amount) for n in _at(each))]
    if len(joints) != 1 or len(joints[0].tighten) != 1:
        return None
    return joints[0] if joints[0].tighten[0].kind is StageKind.TORQUE else None


def _at(fastener: Fastener) -> range:
    return range(len(fastener.tighten))


def _is(fastener: Fastener, stage: int, amount: Quantity) -> bool:
    torque = fastener.tighten[stage].torque
    return torque is not None and torque.exact("N·m") == amount.exact("N·m")


def _before(lines: list[str], number: int, start: int) -> str:
    """The words of the paragraph up to a place in one of its lines."""
    first = number - 1
    while first > 0 and lines[first - 1].strip() and not _NO_PROSE.match(lines[first - 1]):
        first -= 1
    return " ".join([*lines[first : number - 1], lines[number - 1][:start]])


def _named(joint: Fastener, before: str, scope: Scope) -> bool:
    """Tell whether the last joint that the words name is this one."""
    roles = [match[1].strip() for match in _ROLE.finditer(before)]
    if roles:
        return roles[-1] == joint.id
    words = " ".join(before.casefold().split())
    names = {each.id: name_of(each, scope).casefold() for each in scope.all(Fastener)}
    ends = {name: _end(said, words) for name, said in names.items()}
    own = ends.pop(joint.id)
    return own > max(ends.values(), default=0)


def _end(name: str, words: str) -> int:
    """Where a name was last said in full; 0 when it was not."""
    matches = [match.end() for match in re.finditer(rf"\b{re.escape(name)}\b", words)]
    return max(matches, default=0)
