"""Safe rewrites of a page's text: units, quantities typed by hand, ``do`` lists."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, get_args

from procedures_lib.engineering.quantities import (
    QuantityError,
    find_quantities,
    read_quantity,
)
from procedures_lib.engineering.quantities.notation import Amount, unit_meant
from procedures_lib.engineering.quantities.running_text import TypedQuantity
from procedures_lib.engineering.tightening import StageKind
from procedures_lib.judging.checks.mentions import roles_of
from procedures_lib.judging.checks.prose import hand_typed
from procedures_lib.language.entities.builder import COLLECTIONS, HEADS
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.entity import Model, fields_of
from procedures_lib.language.entities.field_types import OfKind
from procedures_lib.language.entities.how_tight import HowTight
from procedures_lib.language.entities.kit import ContentItem
from procedures_lib.language.entities.verbs import KEYWORDS, VERBS
from procedures_lib.language.entities.work import StepOptions
from procedures_lib.language.reading.page import Block, Scalar, Tree
from procedures_lib.manual import Manual, Scope
from procedures_lib.manual.names import name_of

_Value = tuple[Scalar, tuple[str | None, ...]]


_LINE = re.compile(r"([^\r\n]*)(\r\n|\r|\n|$)")


@dataclass(frozen=True, slots=True, order=True)
class Edit:
    """What stands from ``start`` to ``end`` of a line (counted from 1) becomes ``text``.

    A line break in ``text`` is written ``\\n``, and becomes the page's own.
    """

    line: int
    start: int
    end: int
    text: str


def lines_of(text: str) -> list[tuple[str, str]]:
    """Return the lines of a page as the reader counts them, each with the break after it.

    A byte-order mark belongs to no line: it is the first line's, and is kept.
    """
    return [(match[1], match[2]) for match in _LINE.finditer(text)]


def applied(text: str, edits: Iterable[Edit]) -> str:
    """Return a text with edits made; of two that meet, the second is left out."""
    lines = lines_of(text)
    wanted = sorted(set(edits))
    fitting = [e for n, e in enumerate(wanted) if n == 0 or not _meet(wanted[n - 1], e)]
    for edit in reversed(fitting):
        old, ending = lines[edit.line - 1]
        new = edit.text.replace("\n", ending or "\n")
        lines[edit.line - 1] = f"{old[: edit.start]}{new}{old[edit.end :]}", ending
    return "".join(line + ending for line, ending in lines)


def _meet(first: Edit, second: Edit) -> bool:
    return first.line == second.line and first.end > second.start


_IN_HEADER = re.compile(r"(\s*)do:\s*\[.*\]\s*$")
_AS_OPTION = re.compile(r"(\s*:do:\s*)\[.*\]\s*$")
_PLAIN = re.compile(r"[a-z][\w ,.–-]*$")


def do_edits(manual: Manual, page: str, text: str) -> Iterator[Edit]:
    """Yield the edits that write every ``do`` between ``[ ]`` as a list, an action a line.

    A word without a verb is one more object of the action before it, if the page knows it as an
    id; a list with any other such word is left alone.
    """
    lines = [line for line, _ in lines_of(text)]
    for block in manual.contents[page].page.walk():
        items = _items(block)
        if items and items[0].line == items[-1].line <= len(lines):
            actions = _actions(items, manual.scope(page))
            if actions:
                yield from _edit(items, actions, lines[items[0].line - 1])


def _items(block: Block) -> list[Scalar]:
    """The items of a step's ``do`` that is a list."""
    data = block.data if block.name == "step" else None
    value = data.get(Scalar("do")) if isinstance(data, dict) else None
    if not isinstance(value, list) or not all(isinstance(item, Scalar) for item in value):
        return []
    return [item for item in value if isinstance(item, Scalar)]


def _actions(items: list[Scalar], scope: Scope) -> list[str]:
    """The actions that are meant; none when that can't be told."""
    actions: list[str] = []
    for item in items:
        verb, _, rest = item.strip().partition(" ")
        if not _PLAIN.match(item):
            return []
        if verb in VERBS and rest:
            actions.append(item.strip())
        elif actions and not rest and (scope.get(verb) is not None or verb in KEYWORDS):
            actions[-1] += f", {verb}"
        else:
            return []
    return actions


def _edit(items: list[Scalar], actions: list[str], line: str) -> Iterator[Edit]:
    if match := _IN_HEADER.match(line):
        listed = "".join(f"\n{match[1]}  - {action}" for action in actions)
        yield Edit(items[0].line, 0, len(line), f"{match[1]}do:{listed}")
    elif (match := _AS_OPTION.match(line)) and len(actions) != len(items):
        quoted = ", ".join(f'"{action}"' for action in actions)
        yield Edit(items[0].line, len(match[1]), len(line), f"[{quoted}]")


_NUMBER_AND_UNIT = re.compile(r"(.*[0-9])(\s*)([^\s0-9][^0-9]*)$", re.DOTALL)
_OR_SLOT = re.compile(r"\s+or (?:the )?next slot$")
_STAGE_KINDS: tuple[str | None, ...] = ("torque", "angle", "length")
_OPTIONS: dict[str, type[Model]] = {"step": StepOptions}


def spelled(text: str, kinds: tuple[str | None, ...] = (None,)) -> str:
    """Return a quantity or stage with the symbol of its unit; unchanged when there is none.

    The unit has to be of one of the kinds (None: of any), and no other may be meant. The number,
    and what stands before it, stay as they are.
    """
    slot = _OR_SLOT.search(text)
    rest = slot[0] if slot else ""
    match = _NUMBER_AND_UNIT.match(text.removesuffix(rest))
    symbol = _symbol(match[3], kinds) if match else ""
    if match is None or not symbol or match[3] == symbol:
        return text
    return f"{match[1]}{'' if symbol == '°' else ' '}{symbol}{rest}"


def _symbol(text: str, kinds: tuple[str | None, ...]) -> str:
    for kind in kinds:
        with suppress(QuantityError):
            return unit_meant(text, kind, Amount("1", Fraction(1), Fraction(1))).symbol
    return ""


def unit_edits(manual: Manual, page: str, text: str) -> Iterator[Edit]:
    """Yield the edits that spell every unit in fields and ``{q}`` the one way.

    Double entry stays as its source prints it.
    """
    lines = [line for line, _ in lines_of(text)]
    content = manual.contents[page]
    for value, kinds in (each for block in content.page.walk() for each in _of_block(block)):
        if 0 < value.line <= len(lines):
            yield from _in_line(value, value, lines[value.line - 1], kinds)
    for role in roles_of(content):
        if role.name == "q":
            line = lines[role.target.line - 1]
            yield from _in_line(role.target, f"{{q}}`{role.target}`", line, (None,))


def _in_line(value: Scalar, text: str, line: str, kinds: tuple[str | None, ...]) -> Iterator[Edit]:
    """Yield the edit of a text that stands on its line once, as a word of its own."""
    new = spelled(value, kinds)
    found = [m.start() for m in re.finditer(rf"(?<![\w.,]){re.escape(text)}(?!\w)", line)]
    if new != value and len(found) == 1:
        start = found[0] + text.index(value)
        yield Edit(value.line, start, start + len(value), new)


def _of_block(block: Block) -> Iterator[_Value]:
    if block.name in COLLECTIONS and isinstance(block.data, dict):
        for tree in block.data.values():
            yield from _quantities(COLLECTIONS[block.name], tree)
    model = HEADS.get(block.name) or _OPTIONS.get(block.name)
    if model is not None and block.data is not None:
        yield from _quantities(model, block.data)


def _quantities(model: type[Model], tree: Tree) -> Iterator[_Value]:
    """Yield the texts of a mapping that its model reads as quantities or stages."""
    if not isinstance(tree, dict) or model is ContentItem:
        return
    known = fields_of(model)
    for key, value in tree.items():
        if key in known:
            yield from _of_field(model.model_fields[known[key]], value)


def _of_field(field: Any, value: Tree) -> Iterator[_Value]:
    marks = [*field.metadata, *_all_args(field.annotation)]
    kinds = _STAGE_KINDS if HowTight in marks else ()
    kinds += tuple(mark.kind for mark in marks if isinstance(mark, OfKind))
    if kinds:
        yield from ((text, kinds) for text in _scalars(value))
    for inner in marks:
        if isinstance(inner, type) and issubclass(inner, Model):
            for each in value if isinstance(value, list) else [value]:
                yield from _quantities(inner, each)


def _all_args(annotation: Any) -> list[Any]:
    args = [annotation]
    for arg in get_args(annotation):
        args += _all_args(arg)
    return args


def _scalars(value: Tree) -> Iterator[Scalar]:
    if isinstance(value, Scalar):
        yield value
    elif isinstance(value, list):
        for each in value:
            yield from _scalars(each)
    else:
        for key, each in value.items():
            if "=" in key or (key == "stage" and isinstance(each, Scalar)):
                yield from _scalars(each)


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
    wanted = amount.exact("N·m")
    joints = [
        each
        for each in scope.all(Fastener)
        if any(
            stage.torque and stage.torque.exact("N·m") == wanted for stage in each.how_tight.every
        )
    ]
    if len(joints) != 1 or len(joints[0].tighten) != 1:
        return None
    return joints[0] if joints[0].tighten[0].kind is StageKind.TORQUE else None


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
