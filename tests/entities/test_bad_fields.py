"""Bad fields: one finding each, on the line of the value; the entity is kept where it can be."""

from __future__ import annotations

import pytest

from tests.helpers import content_from, only_slip, slips_of, summary

GOOD = ("kind: bolt", "tighten: 10 N·m", "count: 2", "condition: dry")


def block(*fields: str, kind: str = "fasteners") -> str:
    """A block with one entity `x` whose fields stand from line 3 on."""
    return "\n".join([f"```{{{kind}}}", "x:", *(f"  {field}" for field in fields), "```", ""])


BOTH_READINGS = "did you mean 35 lbf·ft = 47 N·m or 35 lbf·in = 4.0 N·m?"

BAD_FIELDS = [
    ("tighten: 12", "no-unit", "12 has no unit", "write 12 N·m"),
    ("tighten: [1,5 N·m]", "not-a-number", "a comma parts a list", "write 1.5 N·m if the comma"),
    ("tighten: 35 lb", "ambiguous-unit", BOTH_READINGS, "write 35 lbf·ft or 35 lbf·in"),
    ("tighten: 35 pounds", "ambiguous-unit", BOTH_READINGS, "write 35 lbf·ft or 35 lbf·in"),
    ("tighten: 35 lbs", "ambiguous-unit", BOTH_READINGS, "write 35 lbf·ft or 35 lbf·in"),
    ("tighten: 12 mm", "wrong-dimension", "12 mm", "N·m"),
    ("tighten: 45°", "wrong-dimension", "does not say which way", "write `+45°`"),
    ("tighten: 12–10 N·m", "bad-tolerance", "from the higher value to the lower", "10–12"),
    ("tighten: 12 ± 12 N·m", "bad-tolerance", "12 ± 12", ""),
    ("tighten: nan N·m", "not-a-number", "nan", ""),
    ("tighten: .nan", "not-a-number", ".nan", ""),
    ("tighten: 0 N·m", "out-of-range", "0", ""),
    ("tighten: -5 N·m", "out-of-range", "-5", ""),
    ("tighten: twist", "unknown-stage", "`twist` is no stage", "hand, snug, 12 N·m, +45°"),
    ("tighten: +0°", "out-of-range", "more than zero", "write an angle"),
    ("tighten: +2000°", "out-of-range", "no tightening angle", "to 1080°"),
    ("tighten: back off", "unknown-stage", "how far", "back off 180°"),
    ("tighten: next slot", "unknown-stage", "where to stop", "at most 60 N·m"),
    ("tighten: drag", "not-a-number", "", ""),
    ("tighten: {stage: 10 N·m, ordr: [a]}", "unknown-field", "may have `order`", "mean `order`"),
    ("tighten: {seee: sheet 4}", "unknown-field", "`seee` is neither", "mean `see`"),
    ("tighten: {see: sheet 4, page 2}", "unknown-field", "one of `stage`", "needs quotes"),
    ("tighten: {model: 10 N·m}", "unknown-field", "`model` is neither a condition", "option=value"),
    ("tighten: {stage: 10 N·m, see: sheet 4}", "unknown-field", "one of `stage`", "write"),
    ("tighten: 50 %", "unknown-stage", "no stage gives one", "`[50 %, 60 N·m]`"),
    ("tighten: [50 percent, 60 N·m]", "unknown-stage", "`50 percent` is no stage", "write `50 %`"),
    ("tighten: [120 %, 60 N·m]", "out-of-range", "no share", "to 100 %"),
    ("tighten: see sheet 4", "unknown-stage", "is no stage", 'write `{see: "sheet 4"}`'),
    ("tighten: stretch 40 mm", "out-of-range", "no stretch of a bolt", "to 10 mm"),
    ("tighten: stretch", "unknown-stage", "how far", "stretch 0.34–0.47 mm"),
    ("tighten: [hand, or next slot]", "unknown-stage", "`hand` is no torque", "20 N·m"),
    ('tighten: {"model=": 8 N·m}', "unreadable-condition", "a value after", "option=value"),
    ("count: two", "out-of-range", "`two` is no count", "from 1 to 1000"),
    ("count: 0", "out-of-range", "`0` is no count", "from 1 to 1000"),
    ("count: 2 off", "out-of-range", "`2 off` is no count", "write `2`"),
    ("count: 4x", "out-of-range", "`4x` is no count", "write `4`"),
    ("count: 99999999999", "out-of-range", "is no count", "from 1 to 1000"),
    ("count: 1.5", "out-of-range", "`1.5` is no count", "from 1 to 1000"),
    ("count: [1]", "wrong-shape", "not a list", "write a single value"),
    ("thread: M6x10", "unknown-thread", "a pitch of 10 mm", "coarse pitch of M6 is 1 mm"),
    ("thread: six", "unknown-thread", "`six`", "write `M6x1.0`"),
    ("condition: wet", "unknown-word", "`wet`", "dry"),
    ("condition: oild", "unknown-word", "`oild`", "did you mean `oiled`?"),
    ("front: ahead", "unknown-word", "`ahead`", "away from you"),
    ("reuse: maybe", "wrong-shape", "neither true nor false", "write `true` or `false`"),
    ("when: manual", "unreadable-condition", "`manual` stands alone", "write which value"),
    ("when: a!=b", "unreadable-condition", "`a!=b` is not read", "not a=b"),
    ("recheck: 100", "no-unit", "100", "100 km"),
    ("recheck: 100 mm", "wrong-dimension", "100 mm", "km"),
    ("replaces: Old Bolts", "bad-id", "`Old Bolts` is no id", "write `old-bolts`"),
    ("into: {engagement: 12}", "no-unit", "12", "12 mm"),
    ("into: aluminium", "wrong-shape", "into", "writer's guide"),
    ("positions: [0, 0]", "wrong-shape", "a mapping", "{lower left: [0, 0], …}"),
    ("head:", "missing-field", "the value is missing", "drop the key"),
    ("headd: hex 10 mm", "unknown-field", "has no field `headd`", "did you mean `head`?"),
    (
        "wibble: 1",
        "unknown-field",
        "has no field `wibble`",
        "known here: `name`, `also`, `kind`, `count`, ",
    ),
]


def test_a_decimal_comma_inside_braces_is_one_finding() -> None:
    written = "```{fluids}\nx: {name: Oil, kind: engine-oil, quantity: 1,5 L}\n```\n"
    (slip,) = slips_of(written)
    assert slip.check == "not-a-number"
    assert slip.message == "`quantity: 1,5 L`: a comma parts the entries inside `{ }`"
    assert slip.hint == "write 1.5 L"


@pytest.mark.parametrize(("field", "check", "message", "hint"), BAD_FIELDS)
def test_a_bad_field_does_not_lose_the_entity(
    field: str, check: str, message: str, hint: str
) -> None:
    text = block("kind: bolt", field)
    found = only_slip(text)
    assert (found.check, found.place.line) == (check, 4)
    assert message in found.message.replace("\u00a0", " ")
    assert hint in found.hint.replace("\u00a0", " ")
    content = content_from(text)
    assert [entity.id for entity in content.entities] == ["x"]
    assert content.damaged == {"x"}


@pytest.mark.parametrize(
    ("lines", "check"),
    [
        (("behind: a, b",), "wrong-shape"),
        (("held-by: [a, B C]",), "bad-id"),
        (("held-by: {a: b}",), "wrong-shape"),
        (("on: [a, b]",), "wrong-shape"),
        (("kind: gaskt",), "unknown-word"),
    ],
)
def test_bad_references_of_a_part(lines: tuple[str, ...], check: str) -> None:
    found = only_slip(block(*lines, kind="parts"))
    assert (found.check, found.place.line) == (check, 3)


def test_all_bad_fields_of_an_entity_are_found() -> None:
    text = block(
        "kind: bolt", "count: two", "tighten: [10 N·m, 12]", "into: {engagement: 1, part: A B}"
    )
    assert summary(slips_of(text)) == [
        (4, "out-of-range"),
        (5, "no-unit"),
        (6, "bad-id"),
        (6, "no-unit"),
    ]
    assert [entity.id for entity in content_from(text).entities] == ["x"]


def test_a_bad_word_in_a_needed_field_is_one_finding_and_a_mention_is_none() -> None:
    text = block("kind: blot", "count: two") + "\n```{parts}\ny: {held-by: x}\n```\n"
    assert summary(slips_of(text)) == [(3, "unknown-word"), (4, "out-of-range")]
    assert content_from(text).lost == {"x"}


def test_a_slip_in_the_name_of_a_needed_field_is_one_finding() -> None:
    text = block("knid: bolt", "count: 2")
    found = only_slip(text)
    assert (found.check, found.place.line, found.hint) == (
        "unknown-field",
        3,
        "did you mean `kind`?",
    )
    assert [getattr(entity, "kind", "") for entity in content_from(text).entities] == ["bolt"]


def test_a_missing_needed_field_is_found_on_the_line_of_the_entity() -> None:
    found = only_slip(block("count: 2"))
    assert (found.check, found.place.line) == ("missing-field", 2)
    assert found.message == "the fastener `x` needs `kind`"
    assert found.hint == "add `kind: …`"


def test_a_missing_text_does_not_lose_a_head() -> None:
    text = (
        "```{vehicle} finch\nyears: 2018\n```\n\n"
        "```{kit} k\nname: K\nfits: {vehicle: finch}\ncontents: []\n```\n"
    )
    assert summary(slips_of(text)) == [(1, "missing-field")]
    assert [entity.id for entity in content_from(text).entities] == ["finch", "k"]


def test_an_entity_that_is_no_mapping_is_one_finding() -> None:
    text = "```{parts}\na: Front cover\nb:\nc: [x]\n```\n\n```{fasteners}\nd: bolt\n```\n"
    assert summary(slips_of(text)) == [
        (2, "unreadable-block"),
        (3, "unreadable-block"),
        (4, "unreadable-block"),
        (8, "unreadable-block"),
    ]
    content = content_from(text)
    assert [entity.id for entity in content.entities] == ["a", "b", "c"]
    assert content.lost == {"d"}


def test_a_bad_id_is_one_finding_and_goes_by_the_id_nearest_to_it() -> None:
    text = "```{parts}\nFront Cover: {name: A}\nother: {behind: front-cover}\n```\n"
    found = only_slip(text)
    assert (found.check, found.place.line, found.hint) == ("bad-id", 2, "write `front-cover`")
    head = only_slip(
        "```{vehicle} Tarrow Finch\nname: F\n```\n\n```{common} c\nvehicle: tarrow-finch\n```\n"
    )
    assert (head.check, head.place.line) == ("bad-id", 1)


def test_positions_in_nested_lists_mappings_and_flow_style() -> None:
    text = """
        ```{fasteners}
        x:
          kind: bolt
          tighten:
            - snug
            - {stage: 12 N·m,
               order: [a,
                       b]}
            - stage: 14
              order: [a, b]
          into: {material: steel,
                 engagement: 5 m²}
          positions:
            one: [0,
                  zero]
        ```
        """
    assert summary(slips_of(text)) == [(9, "no-unit"), (12, "no-unit"), (14, "wrong-shape")]


def test_the_line_of_a_bad_stage_in_a_long_list() -> None:
    text = block("kind: bolt", "tighten:", "  - next slot", "  - at most 60 N·m", "  - 12")
    assert summary(slips_of(text)) == [(7, "no-unit")]
