"""The prose of a step in plain words: each role says what it says on the page."""

from __future__ import annotations

from procedures_lib.engineering.quantities import QuantityError, read_quantity, with_conversion
from procedures_lib.fronts.tables.words import stages_text, tight_text
from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.work import Rule
from procedures_lib.language.reading.paragraphs import Paragraph, Words, paragraphs, shown_text
from procedures_lib.manual.names import begun, cited, humanised, small
from procedures_lib.view.uses import Uses

OTHER_CARS = "(not on this car)"
"""What stands for the torque of a fastener that none of the cars asked about has."""

_KINDS: dict[str, type[Entity]] = {
    "fastener": Fastener,
    "part": Part,
    "connection": Connection,
    "rule": Rule,
}
NAMING = frozenset({*_KINDS, "tool", "step"})
"""The roles that say a name, which has a capital where it begins a sentence."""


def prose(body: str, uses: Uses) -> tuple[str, ...]:
    """Return the paragraphs of a text as plain words; blocks inside it are left out.

    A torque of a fastener that the cars of ``uses`` do not have is not said.
    """
    texts = (_said(paragraph, uses).strip() for paragraph in paragraphs(body))
    return tuple(text for text in texts if text)


def _said(paragraph: Paragraph, uses: Uses) -> str:
    said = ""
    for words in paragraph:
        said += _words(words, uses, said) if words.role else words.text
    return said


def _words(words: Words, uses: Uses, before: str) -> str:
    target = words.text
    if words.role in NAMING:
        return begun(_called(target, words.role, uses), before)
    if words.role == "torque":
        return _torque(target, uses)
    return _quantity(target) if words.role == "q" else shown_text(target)


def _called(target: str, role: str, uses: Uses) -> str:
    if role == "step":
        number = uses.plan.step_number(target)
        return f"step {number}" if number else target
    return target if role == "tool" else _name(target, role, uses)


def _torque(target: str, uses: Uses) -> str:
    fastener = uses.plan.scope.of(Fastener, target)
    if fastener is None:
        return target
    here = [each for each in fastener.variants if uses.applies(each.when)]
    if len(here) > 1:
        return tight_text(fastener)
    return stages_text(here[0].tighten) if here else OTHER_CARS


def _name(target: str, kind: str, uses: Uses) -> str:
    entity = uses.plan.scope.of(_KINDS[kind], target)
    return cited(entity, uses.plan.scope) if entity else small(humanised(target))


def _quantity(target: str) -> str:
    try:
        return with_conversion(read_quantity(target, signed=True))
    except QuantityError:
        return target
