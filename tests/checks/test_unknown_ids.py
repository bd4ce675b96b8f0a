"""Ids that nothing defines or that are of another kind, wherever they are mentioned."""

from __future__ import annotations

import pytest

from tests.helpers import only_slip, slips_of, summary

CAR = """
```{vehicle} finch
name: Finch
fixed: [harness, crossmember]
```
```{parts}
bumper: {name: Bumper, held-by: bumper-bolts}
```
```{connections}
fog-plug: {name: Fog plug, kind: plug, between: [bumper, harness]}
left-plug: {name: Left, kind: plug, between: [bumper, harness], alike: twins}
right-plug: {name: Right, kind: plug, between: [bumper, harness], alike: twins}
```
```{openings}
mouth: {name: Mouth, exposed-by: bumper}
```
```{fasteners}
bumper-bolts: {name: Bolts, kind: bolt, tighten: 10 N·m}
```
```{fluids}
coolant: {name: Coolant, kind: coolant, quantity: 5 L}
```
```{hazards}
brake-dust: {name: Dust, signal: CAUTION, harm: x, avoid: y}
```
"""
HEAD = (
    "# T\n\n```{procedure} fit\nvehicle: finch\nrevision: A\n```\n\n"  # the body begins on line 8
)


def pages(body: str) -> dict[str, str]:
    return {"car.md": CAR, "page.md": HEAD + body}


def step(*actions: str, body: str = "") -> str:
    lines = "".join(f"  - {action}\n" for action in actions)
    return f":::{{step}} S\n---\ndo:\n{lines}---\n{body}\n:::\n"  # the first action is on line 11


def test_a_page_with_every_mention_right_has_no_findings() -> None:
    body = step(
        "remove bumper-bolts, bumper",
        "disconnect fog-plug",
        "tag twins",
        "cover mouth",
        "drain coolant",
        "isolate battery",
        "cool engine",
        "relieve fuel-pressure",
        "isolate brake-dust",
        "raise vehicle",
        "program calibration",
        "fit bumper on bumper",
        "inspect whatever you like",
        "test leaks fuel",
        body="{torque}`bumper-bolts` {fastener}`bumper-bolts`"
        " {part}`bumper` {connection}`fog-plug`",
    )
    assert slips_of(pages(body)) == []


@pytest.mark.parametrize(
    ("action", "message", "hint"),
    [
        ("remove bumpr", "names `bumpr`", "did you mean `bumper`?"),
        ("disconnect fog-plugs", "names `fog-plugs`", "did you mean `fog-plug`?"),
        ("tighten bumper-bolt", "names `bumper-bolt`", "did you mean `bumper-bolts`?"),
        ("cover muoth", "names `muoth`", "did you mean `mouth`?"),
        ("drain coolent", "names `coolent`", "did you mean `coolant`?"),
        ("isolate batery", "names `batery`", "did you mean `battery`?"),
        ("raise vehicel", "names `vehicel`", "did you mean `vehicle`?"),
        ("fit bumper on bumpre", "names `bumpre`", "did you mean `bumper`?"),
        ("remove zzz", "names `zzz`", "known here: `bumper`, `bumper-bolts`"),
    ],
)
def test_an_unknown_object(action: str, message: str, hint: str) -> None:
    found = only_slip(pages(step("inspect all", action)))
    assert (found.check, str(found.place)) == ("unknown-id", "page.md:12")
    assert message in found.message
    assert found.hint.startswith(hint)


@pytest.mark.parametrize(
    ("role", "check", "hint"),
    [
        ("{torque}`bumper-bolt`", "unknown-id", "did you mean `bumper-bolts`?"),
        ("{fastener}`bumper`", "wrong-kind", "known here: `bumper-bolts`"),
        ("{part}`bumper-bolts`", "wrong-kind", "known here: `bumper`"),
        ("{connection}`fog-plg`", "unknown-id", "did you mean `fog-plug`?"),
        ("{step}`nowhere`", "unknown-id", "give it `:id:`"),
        ("{tool}`hammer`", "unknown-id", "name it under `tools`"),
        ("{torqe}`bumper-bolts`", "unknown-role", "did you mean {torque}?"),
        ("{q}`19`", "no-unit", "write the unit after the number"),
        ("{q}`35 wibbles`", "no-unit", ""),
        ("{q}`12 N·m`", "hand-typed-number", "show it from its block: {torque}`fastener-id`"),
    ],
)
def test_a_role_with_nothing_to_show(role: str, check: str, hint: str) -> None:
    found = only_slip(pages(f":::{{step}} S\nOne line,\nthen {role}.\n:::\n"))
    assert (found.check, str(found.place)) == (check, "page.md:10")
    assert found.hint.startswith(hint)


def test_roles_of_the_site_are_left_alone() -> None:
    assert slips_of(pages("{abbr}`A (b)` {kbd}`Ctrl` H{sub}`2`O m{sup}`2`")) == []
    for role in ("doc", "ref", "py:class", "bdg-primary", "raw", "download"):
        found = slips_of(pages(f"{{{role}}}`car`"))
        assert [finding.check for finding in found] == ["unknown-role"]


@pytest.mark.parametrize(
    ("block", "line", "target"),
    [
        ("```{parts}\nx: {held-by: nothing}\n```\n{part}`x`\n", 9, "nothing"),
        ("```{parts}\nx:\n  behind:\n    - bumper\n    - nothing\n```\n{part}`x`\n", 12, "nothing"),
        ("```{parts}\nx: {on: nothing}\n```\n{part}`x`\n", 9, "nothing"),
        ("```{parts}\nx: {replaces: nothing}\n```\n{part}`x`\n", 9, "nothing"),
        (
            "```{connections}\nx: {kind: plug, between: [bumpre, harness]}\n```\n{connection}`x`\n",
            9,
            "bumpre",
        ),
        (
            "```{connections}\nx: {kind: hose, between: [bumper, harness], clamp: nothing}\n```\n"
            "{connection}`x`\n",
            9,
            "nothing",
        ),
        (
            "```{openings}\nx: {exposed-by: nothing}\n```\n:::{step} S\n:do: cover x\n:::\n",
            9,
            "nothing",
        ),
        (
            "```{fasteners}\nx: {kind: bolt, into: {part: nothing}}\n```\n{fastener}`x`\n",
            9,
            "nothing",
        ),
        ("```{expect} Sheet\nbumper-bolts: 10 N·m\nnothing: 10 N·m\n```\n", 10, "nothing"),
        ("```{order-drawing} nothing\n```\n", 8, "nothing"),
        ("```{gain-report} nothing\n```\n", 8, "nothing"),
        ("```{torque-table} nothing\n```\n", 8, "nothing"),
        (":::{common-steps} nothing\n:::\n", 8, "nothing"),
        (":::{step} S\n:hazards: [brake-dust, nothing]\n:::\n", 9, "nothing"),
        (":::{warning} W\n:hazard: nothing\n:::\n", 9, "nothing"),
        ("::::{step} S\n:::{warning} W\n:hazard: nothing\n:::\n::::\n", 10, "nothing"),
        ("```{open-items}\n:after: nothing\n```\n", 9, "nothing"),
        ("```{kit} k\nname: K\nfits: {vehicle: nothing}\ncontents: []\n```\n", 10, "nothing"),
        (
            "```{kit} k\nname: K\nfits: {vehicle: finch}\n"
            "contents:\n  - {part: new-bumper, replaces: nothing}\n```\n",
            12,
            "nothing",
        ),
        (
            "```{kit} k\nname: K\nfits: {vehicle: finch}\n"
            "contents: []\nreturns: [bumper, nothing]\n```\n",
            12,
            "nothing",
        ),
        ("```{job} j\nvehicle: finch\nprocedures: [fit, nothing]\n```\n", 10, "nothing"),
    ],
)
def test_an_unknown_id_in_a_block(block: str, line: int, target: str) -> None:
    found = only_slip(pages(block))
    assert (found.check, str(found.place)) == ("unknown-id", f"page.md:{line}")
    assert f"`{target}`" in found.message


def test_built_in_and_declared_hazards_are_known() -> None:
    step_with_hazards = ":::{step} S\n:hazards: [brake-dust, battery, exhaust-heat]\n:::\n"
    body = step_with_hazards + ":::{danger} D\n:hazard: airbag\n:::\n"
    assert slips_of(pages(body)) == []


def test_fixed_places_are_known_as_ends_and_as_what_parts_are_on() -> None:
    body = (
        "```{parts}\nx: {on: crossmember, behind: harness}\n```\n{part}`x`\n"
        "```{connections}\ny: {kind: plug, between: [x, harness]}\n```\n{connection}`y`\n"
    )
    assert slips_of(pages(body)) == []


def test_an_end_that_is_neither_a_part_nor_fixed() -> None:
    body = (
        "```{connections}\ny: {kind: plug, between: [harness, crosmember]}\n```\n{connection}`y`\n"
    )
    found = only_slip(pages(body))
    assert (found.check, found.hint) == (
        "unknown-id",
        "did you mean `crossmember`? A fixed end goes into the vehicle's `fixed`",
    )


def test_where_nothing_is_said_to_be_fixed_any_word_may_be_an_end() -> None:
    body = "```{connections}\ny: {kind: plug, between: [engine, somewhere]}\n```\n{connection}`y`\n"
    page = pages(body)
    free = {
        name: text.replace("fixed: [harness, crossmember]\n", "") for name, text in page.items()
    }
    assert slips_of(free) == []


@pytest.mark.parametrize(
    ("action", "hint"),
    [
        ("disconnect bumper", "a part takes `lift`, `position`, `seat`, `remove`, `fit`"),
        ("remove fog-plug", "a connection takes `disconnect`, `connect`"),
        ("tighten bumper", "a part takes"),
        ("cover bumper", "a part takes"),
        ("drain mouth", "a opening takes `cover`, `uncover`"),
        ("raise bumper", "a part takes"),
        ("loosen coolant", "a fluid takes `drain`, `fill`, `bleed`"),
        ("isolate coolant", "a fluid takes `drain`, `fill`, `bleed`"),
        ("isolate engine", "`engine` takes `cool`"),
        ("cool battery", "`battery` takes `isolate`, `restore`"),
        ("isolate fuel-pressure", "`fuel-pressure` takes `relieve`, `restore`"),
    ],
)
def test_a_verb_on_the_wrong_kind_of_thing(action: str, hint: str) -> None:
    found = only_slip(pages(step(action)))
    assert (found.check, str(found.place)) == ("wrong-verb", "page.md:11")
    assert hint in found.hint.replace("an opening", "a opening")


def test_tools_named_by_a_step_the_shop_or_the_tool_list_are_known() -> None:
    body = ":::{step} S\n:tools: [trim lever]\nUse the {tool}`trim lever`.\n:::\n"
    assert slips_of(pages(body)) == []


def test_a_step_is_known_by_its_id() -> None:
    body = ":::{step} S\n:id: first\n:::\n\nSee {step}`first`, not {step}`frist`.\n"
    found = only_slip(pages(body))
    assert (found.check, found.hint, found.place.line) == (
        "unknown-id",
        "did you mean `first`?",
        12,
    )


def test_torque_of_a_fastener_without_stages() -> None:
    body = "```{fasteners}\nclip: {kind: clip}\n```\n{torque}`clip`\n"
    found = only_slip(pages(body))
    assert (found.check, found.place.line) == ("missing-field", 11)


def test_mentions_on_a_page_without_procedure() -> None:
    text = "# T\n\nSee {part}`bumper` and {torque}`none`.\n"
    assert summary(slips_of(text)) == [(3, "unknown-id"), (3, "unknown-id")]
