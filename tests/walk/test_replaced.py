"""What replaces a thing against the thing; nuts against their bolts."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.threads.bolt_grades import is_weaker
from procedures_lib.engineering.threads.nuts import goes_with, is_thin, is_weaker_nut
from tests.helpers import findings_of

CAR = """\
# Car

```{vehicle} finch
name: Finch
fixed: [body]
```

```{parts}
cover:  {name: Cover, held-by: cover-bolts}
gasket: {name: Gasket, kind: gasket, behind: cover}
lamps:  {name: Lamps, count: 2}
```

```{connections}
hose: {name: Hose, kind: hose, between: [cover, body]}
```

```{fasteners}
cover-bolts: {name: Bolts, kind: bolt, count: 4, thread: M8x1.25, class: "8.8", turns: left}
hub-nut:     {name: Hub nut, kind: nut, thread: M20x1.5, class: "8", reuse: false}
pin:         {name: Pin, kind: cotter-pin}
```
"""
LIKE = {
    "bolts": 'kind: bolt, count: 4, thread: M8x1.25, class: "8.8", turns: left',
    "nut": 'kind: nut, thread: M20x1.5, class: "8", reuse: false',
}


def kit(items: str, fasteners: str = "", parts: str = "") -> str:
    blocks = [f"```{{kit}} tf-1\nname: Kit\nfits: {{vehicle: finch}}\ncontents:\n{items}\n```"]
    blocks += [f"```{{fasteners}}\n{fasteners}\n```"] if fasteners else []
    blocks += [f"```{{parts}}\n{parts}\n```"] if parts else []
    return "# Kit\n\n" + "\n\n".join(blocks) + "\n"


def bolts(fields: str, qty: int = 4, item: str = "") -> str:
    line = f"  - {{fastener: bolts, qty: {qty}, replaces: cover-bolts{item}}}"
    return kit(line, f"bolts: {{name: New, {fields}}}")


def found_in(text: str, car: str = CAR) -> list[tuple[str, str]]:
    """The checks of hardware that find something on the kit's page, with what they say."""
    found = findings_of({"car.md": car, "kit.md": text})
    skipped = {"unused-entity", "no-torque", "left-loose"}
    return [(f.check, f.message) for f in found if f.check not in skipped]


def checks_in(text: str, car: str = CAR) -> list[str]:
    return [check for check, _ in found_in(text, car)]


def test_what_is_like_the_old_one_is_no_finding() -> None:
    assert checks_in(bolts(LIKE["bolts"])) == []


DIFFERENT = [
    ("count: 4", "count: 5", 5, "5 for 4"),
    ("count: 4", "count: 3", 3, "3 for 4"),
    (", turns: left", "", 4, "a right-hand thread for a left-hand one"),
    ('"8.8"', '"4.8"', 4, "4.8 is weaker than 8.8"),
]


@pytest.mark.parametrize(("right", "wrong", "qty", "said"), DIFFERENT)
def test_what_differs_is_found_once(right: str, wrong: str, qty: int, said: str) -> None:
    fields = LIKE["bolts"].replace(right, wrong)
    message = f"`bolts` replaces `cover-bolts`, and differs: {said}"
    assert found_in(bolts(fields, qty)) == [("unlike-replaced", message)]


@pytest.mark.parametrize(("right", "wrong", "qty", "_said"), DIFFERENT)
def test_a_note_says_that_it_is_meant(right: str, wrong: str, qty: int, _said: str) -> None:
    fields = LIKE["bolts"].replace(right, wrong)
    assert checks_in(bolts(f"{fields}, note: new ears", qty)) == []
    assert checks_in(bolts(fields, qty, ", note: new ears")) == []


def test_all_that_differs_is_one_finding_with_its_places() -> None:
    pages = {
        "car.md": CAR,
        "kit.md": bolts('kind: bolt, count: 5, thread: M8x1.25, class: "4.8"', 5),
    }
    (found,) = findings_of(pages, "unlike-replaced")
    assert found.message.endswith(
        "differs: 5 for 4; a right-hand thread for a left-hand one; 4.8 is weaker than 8.8"
    )
    assert found.hint == "correct `count`, `turns`, `class`, or say in its `note` why it differs"
    assert [str(place) for place in (found.place, *found.related)] == [
        "kit.md:11", "car.md:19", "kit.md:7",
    ]  # fmt: skip


@pytest.mark.parametrize("grade", ['"10.9"', "unknown", "grade 5", "A2-70", "titanium"])
def test_a_stronger_class_and_one_that_does_not_compare_are_none(grade: str) -> None:
    assert "unlike-replaced" not in checks_in(bolts(LIKE["bolts"].replace('"8.8"', grade)))


USE = [
    ("nut: {name: N, kind: nut, thread: M20x1.5}", "nut", "hub-nut", True),
    ("nut: {name: N, kind: nut, thread: M20x1.5, reuse: false}", "nut", "hub-nut", False),
    ("nut: {name: N, kind: nut, thread: M20x1.5, reuse: true}", "nut", "hub-nut", False),
    ("nut: {name: N, kind: pin}", "nut", "pin", True),
    ("nut: {name: N, kind: cotter-pin}", "nut", "pin", False),
]


@pytest.mark.parametrize(("new", "name", "old", "is_found"), USE)
def test_single_use_stays_single_use(new: str, name: str, old: str, is_found: bool) -> None:
    """02, 2: the one-way kinds are new every time unless the page says otherwise."""
    text = kit(f"  - {{fastener: {name}, replaces: {old}}}", new)
    assert checks_in(text) == (["unlike-replaced"] if is_found else [])


def test_a_gasket_stays_a_gasket_and_the_parts_are_as_many() -> None:
    items = "  - {part: seal-2, replaces: gasket}\n  - {part: lamps-2, qty: 3, replaces: lamps}"
    parts = "seal-2: {name: Seal}\nlamps-2: {name: Lamps, count: 3}"
    assert [said.rpartition("differs: ")[2] for _, said in found_in(kit(items, parts=parts))] == [
        "nothing says that it is for one use, as the old one is",
        "3 for 2",
    ]
    right = "seal-2: {name: Seal, kind: gasket}\nlamps-2: {name: Lamps, count: 2}"
    assert checks_in(kit(items.replace("qty: 3", "qty: 2"), parts=right)) == []


@pytest.mark.parametrize(("said", "is_found"), [("", True), (", reuse: true", False)])
def test_a_pipe_for_one_use_stays_one(said: str, is_found: bool) -> None:
    car = CAR.replace("kind: hose,", "kind: pipe, reuse: false,")
    line = "  - {connection: pipe-2, replaces: hose}"
    pipe = f"\n```{{connections}}\npipe-2: {{kind: pipe, between: [cover, body]{said}}}\n```\n"
    assert checks_in(kit(line) + pipe, car) == (["unlike-replaced"] if is_found else [])
    assert checks_in(kit(line), car) == []  # like the old one in everything


def test_what_only_the_packing_list_names_is_counted_too() -> None:
    line = "  - {connection: hose-2, name: Hose, replaces: hose, qty: QTY}"
    assert checks_in(kit(line.replace("QTY", "1"))) == []
    assert checks_in(kit(line.replace("QTY", "2"))) == ["unlike-replaced"]
    assert checks_in(kit(line.replace("QTY", "2, spare: 1"))) == []


def test_a_box_that_disagrees_with_its_block_is_one_finding() -> None:
    """The number fitted is typed wrong once: box and car say four."""
    assert checks_in(bolts(LIKE["bolts"].replace("count: 4", "count: 5"), 4)) == ["quantity-short"]
    assert checks_in(bolts(LIKE["bolts"], 5)) == ["count-mismatch"]


def test_two_groups_together_may_replace_one() -> None:
    items = "\n".join(f"  - {{fastener: {n}, qty: 2, replaces: cover-bolts}}" for n in ("a", "b"))
    two = LIKE["bolts"].replace("count: 4", "count: 2")
    assert checks_in(kit(items, f"a: {{name: A, {two}}}\nb: {{name: B, {two}}}")) == []
    items = items.replace("fastener: b, qty: 2", "fastener: b, qty: 1")
    one = LIKE["bolts"].replace("count: 4", "count: 1")
    (found,) = found_in(kit(items, f"a: {{name: A, {two}}}\nb: {{name: B, {one}}}"))
    assert found == ("unlike-replaced", "`b` replaces `cover-bolts`, and differs: 2 and 1 for 4")


def test_what_replaces_by_its_own_block_is_compared() -> None:
    text = kit("  - {fastener: bolts, qty: 4}",
               f"bolts: {{name: New, {LIKE['bolts'].replace(', turns: left', '')}, "
               "replaces: cover-bolts}")  # fmt: skip
    assert checks_in(text) == ["unlike-replaced"]


# -- threads ---------------------------------------------------------------------------------------


def test_another_thread_in_the_old_place_is_found() -> None:
    other = LIKE["bolts"].replace("M8x1.25", "M10x1.5")
    assert checks_in(bolts(other)) == ["thread-mismatch"]
    assert checks_in(bolts(f"{other}, note: bored out")) == []
    assert checks_in(bolts(f"{other}, into: {{material: steel, engagement: 12 mm}}")) == []


def test_a_kit_that_brings_the_part_or_the_nut_may_bring_its_thread() -> None:
    other = LIKE["bolts"].replace("M8x1.25", "M10x1.5")
    line = "  - {fastener: bolts, qty: 4, replaces: cover-bolts}\n"
    part = kit(f"{line}  - {{part: cover-2, name: Cover, replaces: cover}}", f"bolts: {{{other}}}")
    assert checks_in(part) == []
    car = CAR.replace(
        "pin:  ", "cover-nuts: {name: Nuts, kind: nut, count: 4, thread: M8x1.25}\npin:"
    )
    nuts = "nuts: {kind: nut, count: 4, thread: M10x1.5}"
    both = f"{line}  - {{fastener: nuts, qty: 4, replaces: cover-nuts}}"
    assert checks_in(kit(both, f"bolts: {{{other}}}\n{nuts}"), car) == []


# -- nuts on bolts ---------------------------------------------------------------------------------


def arm(bolt: str, nut: str, extra: str = "") -> str:
    return (
        CAR
        + f"""
```{{fasteners}}
arm-bolts: {{name: Arm bolts, kind: bolt, thread: M12x1.75, {bolt}}}
arm-nuts:  {{name: Arm nuts, kind: nut, thread: M12x1.75, with: [arm-bolts], {nut}}}
{extra}
```
"""
    )


def pair_checks(bolt: str, nut: str) -> list[str]:
    return [f.check for f in findings_of({"car.md": arm(bolt, nut)})]


@pytest.mark.parametrize(
    ("bolt", "nut", "is_found"),
    [
        # ISO 898-2, clause 6 (from memory): a nut of class X goes with bolts up to X.y.
        ('"10.9"', '"8"', True),
        ('"10.9"', '"10"', False),
        ('"8.8"', '"8"', False),
        ('"8.8"', '"10"', False),
        ('"12.9"', '"10"', True),
        ('"10.9"', '"8.8"', True),  # as people write it
        # SAE J995 (from memory): a nut of a grade for bolts of the same.
        ("grade 8", "grade 5", True),
        ("grade 5", "grade 8", False),
        # ISO 3506-2.
        ("A2-80", "A2-70", True),
        # Nothing can be said.
        ('"10.9"', "unknown", False),
        ('"10.9"', "A2-70", False),
        # A thin nut locks another.
        ('"10.9"', '"05"', False),
    ],
)
def test_a_nut_is_as_strong_as_its_bolt(bolt: str, nut: str, is_found: bool) -> None:
    wanted = ["nut-too-weak"] if is_found else []
    assert pair_checks(f"class: {bolt}", f"class: {nut}") == wanted
    assert pair_checks(f"class: {bolt}", f"class: {nut}, note: as the sheet has it") == []


def test_a_nut_of_another_thread_or_hand_does_not_go_on() -> None:
    assert pair_checks('class: "8.8"', 'class: "8"') == []
    fine = arm('class: "8.8"', 'class: "8"').replace(
        "nut, thread: M12x1.75", "nut, thread: M12x1.25"
    )
    assert [f.check for f in findings_of({"car.md": fine})] == ["thread-mismatch"]
    assert pair_checks('class: "8.8", turns: left', 'class: "8"') == ["thread-mismatch"]
    assert pair_checks('class: "8.8", turns: left', 'class: "8", turns: left') == []


def test_the_nuts_end_of_a_stud_may_be_finer() -> None:
    """Common practice, no source: coarse in the casting, fine under the nut."""
    stud = arm('class: "8.8"', 'class: "8"').replace(
        "kind: bolt, thread: M12x1.75", "kind: stud, thread: M12x1.75"
    )
    fine = stud.replace("nut, thread: M12x1.75", "nut, thread: M12x1.25")
    assert findings_of({"car.md": fine}) == []
    thick = stud.replace("nut, thread: M12x1.75", "nut, thread: M10x1.5")
    assert [f.check for f in findings_of({"car.md": thick})] == ["thread-mismatch"]


NEW_BOLTS = "  - {fastener: arm-2-bolts, replaces: arm-bolts}"


def test_an_old_nut_is_judged_on_the_new_bolt() -> None:
    car = arm('class: "8.8"', 'class: "8"')
    text = kit(NEW_BOLTS, 'arm-2-bolts: {name: B, kind: bolt, thread: M12x1.75, class: "10.9"}')
    (found,) = findings_of({"car.md": car, "kit.md": text})
    assert (found.check, found.place.page) == ("nut-too-weak", "kit.md")
    assert "class 8, and goes on `arm-2-bolts`, which is 10.9" in found.message


def test_a_new_nut_takes_over_what_it_goes_with() -> None:
    car = arm('class: "10.9"', 'class: "10"')
    line = "  - {fastener: arm-2-nuts, replaces: arm-nuts}"
    fine = kit(line, 'arm-2-nuts: {name: N, kind: nut, thread: M12x1.25, class: "10"}')
    (found,) = findings_of({"car.md": car, "kit.md": fine})
    assert found.check == "thread-mismatch"
    both = f"{line}\n{NEW_BOLTS}"
    new = ('arm-2-nuts: {name: N, kind: nut, thread: M12x1.25, class: "10"}\n'
           'arm-2-bolts: {name: B, kind: bolt, thread: M12x1.25, class: "10.9"}')  # fmt: skip
    assert findings_of({"car.md": car, "kit.md": kit(both, new)}) == []


# -- the classes themselves ------------------------------------------------------------------------


def test_classes_compare_by_what_they_bear() -> None:
    """ISO 898-1, table 3: proof stress 310 (4.8), 580 (8.8), 830 (10.9) MPa; J429: 85, 120 ksi."""
    assert is_weaker("4.8", "8.8")
    assert is_weaker("8.8", "10.9")
    assert is_weaker("grade 5", "grade 8")
    assert is_weaker("A2-50", "A2-70")
    assert not is_weaker("10.9", "8.8")
    assert not is_weaker("8.8", "8.8")
    assert not is_weaker("grade 5", "10.9")
    assert not is_weaker("titanium", "8.8")
    assert not is_weaker("unknown", "8.8")


def test_classes_of_nuts_compare_by_the_bolts_that_they_go_with() -> None:
    assert is_weaker_nut("8", "10")
    assert is_weaker_nut("05", "8")
    assert not is_weaker_nut("10", "8")
    assert not is_weaker_nut("05", "05")
    assert not is_weaker_nut("A2-70", "8")
    assert is_thin("04")
    assert not is_thin("4")
    assert goes_with("8.8", "8")


@pytest.mark.parametrize(
    ("new", "expected"),
    [
        ("carries: coolant", []),
        ("", ["unlike-replaced"]),
        ("carries: oil", ["unlike-replaced"]),
        ("carries: oil, note: the cooler moves to the oil", []),
    ],
)
def test_what_runs_in_a_new_line(new: str, expected: list[str]) -> None:
    lines = f"""
```{{connections}}
old-hose: {{name: Hose, kind: hose, between: [cover, body], carries: coolant}}
new-hose: {{name: Hose, kind: hose, between: [cover, body], replaces: old-hose, {new}}}
```
"""
    found = [f for f in findings_of(CAR + lines) if f.check == "unlike-replaced"]
    assert [f.check for f in found] == expected


# -- kits, fluids and what one of many lacks -------------------------------------------------------

KIT = "```{kit} k\nname: Kit\nfits: {vehicle: finch}\ncontents: []\n"


@pytest.mark.parametrize(
    ("fields", "found"),
    [
        ("claims: {power: +20 hp}", 1),
        ("claims: {power: +0 hp}", 0),
        ("claims: {power: +20 hp}\nemissions: {label: EO label}", 0),
        ("claims: {power: +20 hp}\nemissions: {label: EO label}\nneeds: {calibration: C-1}", 1),
        ("emissions: {label: L}\nclaims: {power: +9 hp}\nneeds: {calibration: C, fuel: 93 AKI}", 0),
        ("needs: {calibration: C-1}", 0),
    ],
)
def test_what_a_kit_that_raises_power_says(fields: str, found: int) -> None:
    assert len(findings_of(f"{CAR}{KIT}{fields}\n```\n", "missing-field")) == found


def test_a_calibration_comes_from_somewhere() -> None:
    step = ":::{step} Load\n:do: program calibration\n:tools: [battery support]\nSo.\n:::\n"
    work = "```{procedure} work\nvehicle: finch\nrevision: A\nKIT```\n"
    assert findings_of(CAR + work.replace("KIT", "") + step, "no-calibration-for") == []
    for needs, found in (("", 1), ("needs: {calibration: C-1}\n", 0)):
        page = CAR + KIT + needs + "```\n" + work.replace("KIT", "kit: k\n") + step
        assert len(findings_of(page, "no-calibration-for")) == found


@pytest.mark.parametrize(
    ("fluid", "check"),
    [
        ("drain: plug, fill: cover", ""),
        ("drain: pin", "wrong-kind"),
        ("fill: gasket", "wrong-kind"),
        ("drain: plug, fill: plug", "unlike-practice"),
        ("drain: plug, fill: plug, note: filled from below", ""),
        ("drain: the tap at the foot", ""),
    ],
)
def test_what_a_fluid_is_drained_and_filled_through(fluid: str, check: str) -> None:
    blocks = f"""
```{{fasteners}}
plug: {{name: Plug, kind: plug}}
```
```{{fluids}}
oil: {{name: Oil, kind: oil, {fluid}}}
```
"""
    named = {"wrong-kind", "unlike-practice"}
    assert [f.check for f in findings_of(CAR + blocks) if f.check in named] == [check] * bool(check)


def test_the_one_joint_of_a_page_that_lacks_what_all_others_say() -> None:
    bolt = "b{n}: {{kind: bolt, HEAD into: {{material: MATERIAL}}, tighten: 9 N·m, source: S}}\n"
    whole = bolt.replace("HEAD", "head: hex 10 mm,").replace("MATERIAL", "steel")

    def lacking(*last: str) -> int:
        rows = [whole.format(n=n) for n in range(6)] + [each.format(n="x") for each in last]
        page = CAR + "```{fasteners}\n" + "".join(rows) + "```\n"
        return len(findings_of(page, "missing-field"))

    headless = bolt.replace("HEAD", "").replace("MATERIAL", "steel")
    assert lacking(whole) == 0
    assert lacking(headless) == 1
    assert lacking(headless, headless.replace("b{n}", "c{n}")) == 0
    assert lacking(whole.replace("material: steel", "engagement: 9 mm")) == 1
