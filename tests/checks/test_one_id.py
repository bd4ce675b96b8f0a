"""Two of one id: one finding, at what comes second, whatever the two are and wherever they stand.

A page of every kind gets one more entity of every kind, above and below all else, under an id that
something in the manual has already. What a page with a fresh id in its place is found guilty of is
not counted.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from procedures_lib.language.entities.builder import COLLECTIONS, HEADS
from procedures_lib.language.entities.car import Fastener, Part, Vehicle
from procedures_lib.language.entities.verbs import KEYWORDS
from tests.checks import test_one_cause
from tests.helpers import findings_of, manual_from

if TYPE_CHECKING:
    from collections.abc import Iterable

CAR = (
    test_one_cause.CAR
    + """
```{openings}
duct: {name: Duct, exposed-by: bracket}
```
```{fluids}
engine-oil: {name: Oil, kind: oil}
```
"""
)
PROCEDURE = (
    test_one_cause.PROCEDURE.replace(
        "```{preparation}",
        "```{hazards}\nsparks: {name: Sparks, signal: WARNING, harm: burns, avoid: goggles,"
        " called-by: bumper}\n```\n```{preparation}",
    )
    .replace(":::{step} Off\n---\n", ":::{common-steps} look\n:::\n:::{step} Off\n---\nid: off\n")
    .replace("  - return bracket", "  - cover duct\n  - return bracket")
    .replace("  - fit bracket-2", "  - uncover duct\n  - fit bracket-2")
)
COMMON = """
# Look
```{common} look
vehicle: finch
```
:::{step} Look
:do: inspect bumper
Look.
:::
"""
JOB = "# Visit\n```{job} visit\nvehicle: finch\nprocedures: [fit]\n```\n"
PAGES = {
    "car.md": CAR,
    "kit.md": test_one_cause.KIT,
    "fit.md": PROCEDURE,
    "look.md": COMMON,
    "visit.md": JOB,
}
TAKEN = (
    "bumper", "fog-plug", "duct", "bumper-bolts", "engine-oil", "sparks", "tf-1", "finch", "fit",
    "look", "visit",
)  # fmt: skip
"""An id of each kind: part, connection, opening, fastener, fluid, hazard; then the heads'."""

BLOCKS = {
    "part": "```{parts}\nID: {name: New}\n```\n",
    "connection": "```{connections}\nID: {name: New, kind: hose, between: [bumper, body]}\n```\n",
    "opening": "```{openings}\nID: {name: New, exposed-by: bracket}\n```\n",
    "fastener": "```{fasteners}\nID: {name: New, kind: clip}\n```\n",
    "fluid": "```{fluids}\nID: {name: New, kind: coolant}\n```\n",
    "hazard": (
        "```{hazards}\nID: {name: New, signal: DANGER, harm: none, avoid: it, called-by: it}\n```\n"
    ),
    "rule": "```{rule} ID\n---\nsource: Sheet 1\nabout: [fuel]\n---\nNo sparks.\n```\n",
    "kit": "```{kit} ID\nname: Other\nfits: {vehicle: finch}\ncontents: [{supply: Tape}]\n```\n",
    "vehicle": "```{vehicle} ID\nname: Other\n```\n",
    "procedure": "```{procedure} ID\nvehicle: finch\nrevision: A\n```\n",
    "common": "```{common} ID\nvehicle: finch\n```\n",
    "job": "```{job} ID\nvehicle: finch\nprocedures: [fit]\n```\n",
}


def test_nothing_is_wrong_at_first_and_every_kind_is_tried() -> None:
    assert findings_of(PAGES) == []
    kinds = {kind.KIND for kind in COLLECTIONS.values()} | set(HEADS)
    assert kinds - set(BLOCKS) == {"dyno-session"}  # which needs files


def with_one_more(page: str, kind: str, name: str, *, above: bool) -> dict[str, str]:
    block = BLOCKS[kind].replace("ID", name)
    text = f"{block}\n{PAGES[page]}" if above else f"{PAGES[page]}\n{block}"
    return {**PAGES, page: text}


def new_findings(
    page: str, kind: str, names: Iterable[str], *, above: bool
) -> dict[str, list[str]]:
    """Return the checks that find something for each of these ids, and not for a fresh one."""
    fresh = {f.check for f in findings_of(with_one_more(page, kind, "fresh-id", above=above))}
    return {
        name: [f.check for f in findings_of(pages) if f.check not in fresh]
        for name in names
        for pages in [with_one_more(page, kind, name, above=above)]
    }


@pytest.mark.parametrize("above", [True, False])
@pytest.mark.parametrize("kind", BLOCKS)
@pytest.mark.parametrize("page", PAGES)
def test_an_id_that_is_taken_is_one_finding(page: str, kind: str, above: bool) -> None:
    found = new_findings(page, kind, TAKEN, above=above)
    assert found == {name: ["duplicate-id"] for name in TAKEN}


@pytest.mark.parametrize("kind", BLOCKS)
def test_the_ids_of_steps_and_the_words_for_every_car_are_apart(kind: str) -> None:
    """`{step}` finds steps alone, and a verb takes either a thing or such a word, never both."""
    words = ("off", *KEYWORDS)
    found = new_findings("fit.md", kind, words, above=False)
    assert found == {name: [] for name in words}


def test_the_finding_stands_at_what_comes_second_whoever_asks() -> None:
    pages = {**PAGES, "look.md": COMMON + "```{parts}\nbumper: {name: Bumper}\n```\n"}
    (found,) = findings_of(pages, "duplicate-id")
    assert (str(found.place), list(map(str, found.related))) == ("look.md:10", ["car.md:7"])


def test_a_kit_without_a_procedure_clashes_with_its_car() -> None:
    pages = {"car.md": CAR, "kit.md": PAGES["kit.md"] + "```{parts}\nbumper: {name: B}\n```\n"}
    (found,) = findings_of(pages, "duplicate-id")
    assert (str(found.place), list(map(str, found.related))) == ("kit.md:9", ["car.md:7"])


def test_of_three_the_second_and_the_third_are_found() -> None:
    pages = {**PAGES, "car.md": CAR + "```{parts}\nduct: {name: A}\n```\n```{fluids}\n"
             "duct: {name: B, kind: oil}\n```\n"}  # fmt: skip
    found = findings_of(pages)
    assert {f.check for f in found} == {"duplicate-id"}
    assert [str(f.place) for f in found] == ["car.md:41", "car.md:44"]
    assert {str(f.related[0]) for f in found} == {"car.md:35"}


def test_what_two_procedures_of_a_visit_have_each_for_itself_is_no_clash() -> None:
    other = "# Other\n```{procedure} other\nvehicle: finch\nrevision: A\n```\n"
    step = ":::{step} Look\n:do: inspect tray\nLook.\n:::\n"
    tray = "```{parts}\ntray: {name: Tray}\n```\n"
    pages = {
        **PAGES,
        "fit.md": PROCEDURE + tray + step,
        "other.md": other + tray + step,
        "visit.md": JOB.replace("[fit]", "[fit, other]"),
    }
    assert findings_of(pages, "duplicate-id") == []


def test_what_is_asked_for_by_its_kind_is_found_by_it() -> None:
    both = "```{parts}\nfinch: {name: A bird}\nbumper-bolts: {name: A box of bolts}\n```\n"
    scope = manual_from({**PAGES, "car.md": both + CAR}).scope("fit.md")
    assert scope.shared == {"bumper-bolts"}
    assert scope.kinds("finch") == {"vehicle", "part"}
    car, bolts, box = scope.of(Vehicle, "finch"), scope.of(Fastener, "bumper-bolts"), scope.of(
        Part, "bumper-bolts"
    )  # fmt: skip
    assert car is not None
    assert bolts is not None
    assert box is not None
    assert (car.name, bolts.name, box.name) == ("Finch", "Bolts", "A box of bolts")
