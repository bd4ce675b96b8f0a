"""Where an id is looked up: the page, its kit page, its vehicle page, the common pages."""

from __future__ import annotations

import pytest

from procedures_lib.language.entities.car import Part
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual
from tests.helpers import manual_from, slips_of, summary

VEHICLE = "```{vehicle} finch\nname: Finch\n```\n"
KIT = "```{kit} tf-1\nname: Kit\nfits: {vehicle: finch}\ncontents: []\n```\n"
PROCEDURE = "```{procedure} fit-tf-1\nvehicle: finch\nkit: tf-1\nrevision: A\n```\n"
COMMON = "```{common} raise-car\n```\n"


def parts(**names: str) -> str:
    rows = "\n".join(f"{name.replace('_', '-')}: {{name: {said}}}" for name, said in names.items())
    return f"\n```{{parts}}\n{rows}\n```\n"


def four_pages(**extra: str) -> dict[str, str]:
    return {
        "procedures/fit.md": PROCEDURE + extra.get("procedure", ""),
        "kits/tf-1.md": KIT + extra.get("kit", ""),
        "vehicles/finch.md": VEHICLE + extra.get("vehicle", ""),
        "common/raise.md": COMMON + extra.get("common", ""),
        "vehicles/other.md": "```{vehicle} drover\nname: Drover\n```\n" + parts(foreign="Foreign"),
    }


def name_seen(manual: Manual, page: str, part: str) -> str:
    found = manual.scope(page).of(Part, part)
    return found.name if found else ""


def test_a_procedure_sees_its_kit_its_vehicle_and_the_common_pages() -> None:
    manual = manual_from(
        four_pages(
            procedure=parts(a="own"),
            kit=parts(b="kit"),
            vehicle=parts(c="car"),
            common=parts(d="all"),
        )
    )
    scope = manual.scope("procedures/fit.md")
    assert scope.pages == (
        "procedures/fit.md",
        "kits/tf-1.md",
        "vehicles/finch.md",
        "common/raise.md",
    )
    assert [name_seen(manual, "procedures/fit.md", part) for part in "abcd"] == [
        "own",
        "kit",
        "car",
        "all",
    ]
    assert scope.get("foreign") is None


@pytest.mark.parametrize(
    ("on", "seen"),
    [
        (("procedure", "kit", "vehicle", "common"), "procedure"),
        (("kit", "vehicle", "common"), "kit"),
        (("vehicle", "common"), "vehicle"),
        (("common",), "common"),
    ],
)
def test_the_nearest_page_wins(on: tuple[str, ...], seen: str) -> None:
    manual = manual_from(four_pages(**{page: parts(x=page) for page in on}))
    assert name_seen(manual, "procedures/fit.md", "x") == seen
    assert (
        len([part for part in manual.scope("procedures/fit.md").all(Part) if part.id == "x"]) == 1
    )


def test_a_kit_page_sees_its_vehicle_and_not_its_procedure() -> None:
    manual = manual_from(four_pages(procedure=parts(a="own"), vehicle=parts(c="car")))
    assert manual.scope("kits/tf-1.md").pages == (
        "kits/tf-1.md",
        "vehicles/finch.md",
        "common/raise.md",
    )


def test_a_vehicle_page_sees_itself_and_the_common_pages() -> None:
    manual = manual_from(four_pages())
    assert manual.scope("vehicles/finch.md").pages == ("vehicles/finch.md", "common/raise.md")


def test_a_job_and_a_dyno_session_see_what_their_procedures_see() -> None:
    job = "```{job} visit\nvehicle: finch\nprocedures: [fit-tf-1]\n```\n"
    manual = manual_from({**four_pages(kit=parts(b="kit")), "jobs/visit.md": job})
    assert name_seen(manual, "jobs/visit.md", "b") == "kit"


def test_a_self_contained_page() -> None:
    text = VEHICLE + KIT + PROCEDURE + parts(a="own") + "\n:::{step} Take off\n:do: remove a\n:::\n"
    manual = manual_from({"page.md": text})
    assert slips_of(manual) == []
    head = manual.head(Procedure, "fit-tf-1")
    assert head is not None
    plan = manual.plan(head)
    assert plan.vehicle is not None
    assert plan.kit is not None
    assert (plan.vehicle.name, plan.kit.name, len(plan.steps)) == ("Finch", "Kit", 1)


def test_two_things_of_one_id_that_one_procedure_sees() -> None:
    pages = four_pages(kit=parts(x="one") + "\n{part}`x`\n", vehicle=parts(y="A", x="two"))
    (found,) = slips_of(pages, "duplicate-id")
    assert str(found.place) == "kits/tf-1.md:8"
    assert [str(place) for place in found.related] == ["vehicles/finch.md:7"]
    assert found.hint == "give one of the two another id: one procedure can see both"


def test_two_things_of_one_id_that_no_procedure_sees_together() -> None:
    pages = four_pages(vehicle=parts(x="one"))
    pages["vehicles/other.md"] += parts(x="two")
    assert slips_of(pages, "duplicate-id") == []


def test_two_things_of_one_id_on_one_page_are_found_once_and_the_first_holds() -> None:
    pages = four_pages(vehicle=parts(x="one") + parts(x="two"))
    (found,) = slips_of(pages, "duplicate-id")
    assert str(found.place) == "vehicles/finch.md:10"
    assert name_seen(manual_from(pages), "vehicles/finch.md", "x") == "one"


def test_two_pages_with_one_head_id() -> None:
    pages = {**four_pages(), "vehicles/again.md": "# Again\n\n" + VEHICLE}
    (found,) = slips_of(pages, "duplicate-id")
    assert str(found.place) == "vehicles/again.md:3"
    assert [str(place) for place in found.related] == ["vehicles/finch.md:1"]


def test_an_entity_with_the_id_of_a_head() -> None:
    pages = four_pages(vehicle=parts(fit_tf_1="a part"))
    assert [str(f.place) for f in slips_of(pages, "duplicate-id")] == ["procedures/fit.md:1"]


def test_common_steps_may_name_what_any_car_has() -> None:
    common = "\n:::{step} S\n:do: remove undertray\n:::\n:::{step} T\n:do: remove undertrai\n:::\n"
    pages = four_pages(common=common, vehicle=parts(undertray="Tray"))
    assert summary(slips_of(pages)) == [(8, "unknown-id")]


def test_common_steps_that_name_what_this_car_does_not_have() -> None:
    common = "\n:::{step} S\n:do: remove foreign\n:::\n"
    pages = four_pages(common=common, procedure="\n:::{common-steps} raise-car\n:::\n")
    (found,) = slips_of(pages)
    assert (found.check, str(found.place)) == ("unknown-id", "procedures/fit.md:7")
    assert "which this car and kit do not have" in found.message
    assert [str(place) for place in found.related] == ["common/raise.md:5"]
