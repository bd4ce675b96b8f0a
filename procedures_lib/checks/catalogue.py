"""Every check by name: its family, how bad its findings are, and what it finds. A closed list."""

from __future__ import annotations

from dataclasses import dataclass

from procedures_lib.findings import Level

FAMILIES = (
    "reading",
    "quantities",
    "drift",
)


@dataclass(frozen=True, slots=True)
class CheckInfo:
    """One check: ``finds`` is one line that a list of checks shows."""

    name: str
    family: str
    finds: str
    level: Level = Level.ERROR


def _family(family: str, **checks: str) -> list[CheckInfo]:
    return [CheckInfo(name.replace("_", "-"), family, finds) for name, finds in checks.items()]


_CHECKS = [
    *_family(
        "reading",
        unreadable_page="a page that is not UTF-8, too large, or can't be opened",
        unreadable_block="a block whose YAML or fences can't be read",
        unreadable_condition="a `when` that is no option expression",
        unseen_text="text brought in from elsewhere, which the checks can't see",
        duplicate_key="a key that stands twice in one block",
        unknown_block="a block that does not exist",
        unknown_role="a role that does not exist",
        unknown_field="a field that this block does not have",
        missing_field="a field that this block needs",
        wrong_shape="a list where one value is wanted, or the like",
        bad_id="an id that is not kebab-case",
        unknown_word="a word that is not on the closed list of a field",
        unknown_thread="a thread designation that can't be read",
        unknown_stage="a tightening stage that can't be read",
        unknown_id="an id that no page in reach defines",
        wrong_kind="an id of another kind than the field takes",
        duplicate_id="two things that one procedure can see under one id",
        unknown_verb="a verb that is not on the list",
        wrong_verb="a verb that does not work on this kind of thing",
        endless_steps="common steps that lead back to themselves",
        step_without_head="a step on a page without procedure or common head",
    ),
    CheckInfo(
        "unused-entity",
        "reading",
        "a thing on a procedure or kit page that nothing mentions",
        Level.WARNING,
    ),
    *_family(
        "quantities",
        no_unit="a number without its unit",
        ambiguous_unit="a unit that can be read in two ways",
        wrong_dimension="a quantity of another kind than the field takes",
        bad_tolerance="a range that runs backwards, or a tolerance that reaches zero",
        out_of_range="a value that can't be",
        not_a_number="a value that is no number",
    ),
    *_family(
        "drift",
        hand_typed_number="a quantity typed in prose instead of shown from its block",
        expect_disagrees="a number that differs from what its source prints",
        side_ambiguous="driver's or passenger's side, which changes from country to country",
    ),
]

CATALOGUE = {check.name: check for check in _CHECKS}
