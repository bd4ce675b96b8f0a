"""Drift: numbers typed by hand, sides; code outside the guide and the reference.

Check and tests ask the same question, :func:`may_run`, so that what is not found is not run.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from procedures_lib.engineering.quantities import TypedQuantity, find_quantities, find_spoken
from procedures_lib.findings import Finding, Level, Place
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.car import Fastener, Part, Vehicle
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Content, Procedure
from procedures_lib.language.reading.block_kinds import ROLE_NAMES
from procedures_lib.language.reading.page import HIDDEN, Fence, Page, Prose, Scalar
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual

_SIDE = re.compile(
    r"\b(?:driver|passenger)(?:'s|’s|s|s'|s’)?[ \n-](?:hand[ \n-])?side\b"
    r"|\b(?:near|off)[ -]?side\b",
    re.IGNORECASE,
)
SIDES = {"left": "right", "front": "rear", "upper": "lower", "inner": "outer", "top": "bottom"}
SIDES |= {other: side for side, other in SIDES.items()}
"""Each word for a side, with the word for the other."""

_JUDGED_HEADS = frozenset({"procedure", "common", "job"})
_ROLES = {"torque": "{torque}`fastener-id`", "angle": "{torque}`fastener-id`"}


_OF_PICTURE = frozenset({"name", "seen", "note"})
_EYE = frozenset({"angle", "length"})
"""What tells in `seen` where one stands to see it so."""


class Judged(NamedTuple):
    """Words that are judged; ``field`` is the field of a picture that holds them, "" for prose."""

    prose: Prose
    field: str = ""

    def may_say(self, typed: TypedQuantity) -> bool:
        """Whether a quantity may stand here: of the eye of a picture; in a note, no joint's."""
        if self.field == "seen":
            return typed.kind in _EYE
        return self.field == "note" and typed.kind not in _ROLES


def _judged(content: Content) -> Iterator[Judged]:
    """Yield the prose of procedure, common and job pages; rules and pictures of any page."""
    judged = bool(_JUDGED_HEADS & {entity.KIND for entity in content.entities})
    if judged:
        yield from map(Judged, content.page.prose)
    for block in content.page.walk():
        if judged or block.name == "rule":
            yield from map(Judged, block.prose)
        if block.name == "picture" and isinstance(block.data, dict):
            for field, words in block.data.items():
                if field in _OF_PICTURE and isinstance(words, Scalar):
                    yield Judged(Prose(words, words.line), field)


def place_in(page: str, prose: Prose, start: int) -> Place:
    """Return where a sign of a piece of prose stands, by its number in the text."""
    return Place(page, prose.line + prose.text.count("\n", 0, start))


def hand_typed(manual: Manual, page: str) -> Iterator[Finding]:
    """Find quantities in prose and in the words of pictures, in figures or in words."""
    for judged in _judged(manual.contents[page]):
        text = judged.prose.text
        for typed in (*find_quantities(text), *find_spoken(text)):
            if judged.may_say(typed):
                continue
            words = " ".join(typed.text.split())
            where = f" into `{judged.field}` of a picture" if judged.field else ""
            said = f"the {typed.kind} {words} is typed by hand{where}"
            level = Level.ERROR if typed.kind in _ROLES else Level.WARNING
            place = place_in(page, judged.prose, typed.start)
            yield Finding(place, "hand-typed-number", said, _instead(judged, typed), level)


def _instead(judged: Judged, typed: TypedQuantity) -> str:
    """What to write in place of a quantity: a role, which a picture's words do not hold."""
    words = " ".join(typed.text.split())
    role = _ROLES.get(typed.kind, f"{{q}}`{words if words[0].isdigit() else '12 mm'}`")
    if not judged.field:
        return f"write {role}"
    if typed.kind in _ROLES:
        return "leave it out: beside a picture the torques stand from their blocks"
    return f"leave it out, or say it in the text of the step: {role}"


_OFFERED: tuple[tuple[str, tuple[type[Entity], ...]], ...] = (
    ("id of the car", (Vehicle,)),
    ("id of the kit", (Kit,)),
    ("id of a procedure", (Procedure,)),
    ("id of another", (Procedure,)),
    ("id of the procedure", (Procedure,)),
    ("id of the fasteners", (Fastener,)),
    ("id of what holds", (Fastener,)),
    ("id of the part", (Part,)),
    ("id of a part", (Part,)),
    ("id of what the customer", (Part,)),
)
"""What a blank asks for, by its first words, and the things of which the ids are offered."""

_HEAD_KINDS = (Vehicle, Kit, Procedure)
_MOST_OFFERED = 6


def blanks_left(manual: Manual, page: str) -> Iterator[Finding]:
    """Find the blanks of a draft, each with what belongs there, and the ids there are for it."""
    examples = {blank.example for blank in manual.contents[page].page.blanks}
    for blank in manual.contents[page].page.blanks:
        ids = [] if blank.names else _offered(manual, page, blank.content, examples)
        known = f"; there {'is' if len(ids) == 1 else 'are'} {', '.join(ids)}" if ids else ""
        yield Finding(
            Place(page, blank.line),
            "blank-left",
            f"a blank is left: {blank.content}",
            f"write it in the place of ‹…›, such as `{blank.example}`{known}",
        )


def _offered(manual: Manual, page: str, content: str, examples: set[str]) -> list[str]:
    kinds = next((kinds for words, kinds in _OFFERED if content.startswith(words)), ())
    if set(kinds) & set(_HEAD_KINDS):
        found = [head.id for kind in kinds for head in manual.heads(kind)]
    else:
        found = [each.id for kind in kinds for each in manual.scope(page).all(kind)]
    ids = [f"`{name}`" for name in dict.fromkeys(found) if name not in examples]
    return [*ids[:_MOST_OFFERED], *(["…"] if len(ids) > _MOST_OFFERED else [])]


_LOST_ROLE = re.compile(
    rf"\{{(?:{'|'.join(sorted(ROLE_NAMES))})\}}"
    rf"|(?<![\w-])\{{?(?:{'|'.join(sorted(ROLE_NAMES))})\}}?(?={HIDDEN})"
)


_GLUED = re.compile(rf"[a-z}}]{HIDDEN}")


def lost_roles(manual: Manual, page: str) -> Iterator[Finding]:
    """Find roles that lost a brace or a tick, and are shown as text."""
    for prose, field in _judged(manual.contents[page]):
        if "{" not in prose.text and not _GLUED.search(prose.text):
            continue
        for match in _LOST_ROLE.finditer(prose.text):
            name = match[0].strip("{}")
            said = f"“{match[0]}” is shown as text: the role has lost a brace or a tick"
            hint = f"write {{{name}}}`…`, without a space"
            if field:
                said = f"“{match[0]}” is shown as text: `{field}` of a picture holds no roles"
                hint = "leave it out: names and torques stand beside a picture from their blocks"
            yield Finding(place_in(page, prose, match.start()), "unknown-role", said, hint)


def ambiguous_sides(manual: Manual, page: str) -> Iterator[Finding]:
    """Find "driver's side" and the like in prose and in the words of pictures."""
    for prose, _ in _judged(manual.contents[page]):
        for match in _SIDE.finditer(prose.text):
            said = f"“{match[0]}” is another side in another country"
            hint = "say left or right, seen from the driver's seat"
            yield Finding(place_in(page, prose, match.start()), "side-ambiguous", said, hint)


GUIDES = ("writing", "using", "reference", "checks")
"""The folders of the guide and the reference: their examples are run."""

RUN = frozenset({
    "python", "python3", "py", "pycon", "ipython", "doctest", "console", "bash", "sh", "shell",
    "shell-session", "zsh", "fish", "powershell", "pwsh", "bat", "cmd",
})  # fmt: skip
"""Languages of code that is there to be run; what is only read (JSON, YAML, CSV …) is let pass."""

_MOST_SAMPLES = 4
"""How deep a page shown on a page shown on a page … is looked into."""


def may_run(content: Content) -> bool:
    """Tell whether the tests run the examples of a page: in a guide's folder, without a head."""
    folder, _, rest = content.page.name.partition("/")
    heads = HEADS.keys() & {entity.KIND for entity in content.entities}
    return bool(rest) and folder in GUIDES and not heads and not content.lost_heads


def is_to_run(fence: Fence) -> bool:
    """Tell whether a code example is there to be run, going by its language."""
    return fence.language.strip("{}").lower() in RUN


def code_in_page(manual: Manual, page: str) -> Iterator[Finding]:
    """Find code to be run on any page but those of the guide and the reference."""
    content = manual.contents[page]
    if may_run(content):
        return
    folders = ", ".join(f"`{name}/`" for name in GUIDES)
    for language, line in _code_on(content.page):
        said = f"a code example in `{language}` stands outside the guide and the reference"
        hint = f"move it to a page below {folders}, or call it `text` if it is only to be read"
        yield Finding(Place(page, line), "code-in-page", said, hint)


def _code_on(page: Page, above: int = 0, depth: int = 0) -> Iterator[tuple[str, int]]:
    """Yield language and line of what is to be run: in boxes, blocks, and pages shown as text."""
    inside = (fence for block in page.walk() for fence in block.fences)
    for fence in (*page.fences, *inside):
        if is_to_run(fence):
            yield fence.language, above + fence.line
    for block in page.walk():
        if block.name == "page-example" and block.body and depth < _MOST_SAMPLES:
            shown = read_page(block.body.encode(), page.name)
            yield from _code_on(shown, above + block.body_line - 1, depth + 1)
