"""The ``do`` of a step as a list, one action a line: inside ``[ ]`` a comma parts the objects."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.entities.verbs import KEYWORDS, VERBS
from procedures_lib.fixing.raw import Edit, lines_of
from procedures_lib.reading.scalar import Scalar

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Scope
    from procedures_lib.reading.page import Block, Page

_IN_HEADER = re.compile(r"(\s*)do:\s*\[.*\]\s*$")
_AS_OPTION = re.compile(r"(\s*:do:\s*)\[.*\]\s*$")
_PLAIN = re.compile(r"[a-z][\w ,.-]*$")


def do_edits(page: Page, text: str, scope: Scope) -> Iterator[Edit]:
    """Yield the edits that write every ``do`` between ``[ ]`` as a list, an action a line.

    A word without a verb is one more object of the action before it, if the page knows it as an
    id; a list with any other such word is left alone.
    """
    lines = [line for line, _ in lines_of(text)]
    for block in page.walk():
        items = _items(block)
        if items and items[0].line == items[-1].line <= len(lines):
            actions = _actions(items, scope)
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
