"""The Sphinx extension: what is read is rendered, with exact rebuilds and the right lines."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest

from procedures_lib.fronts.site import rebuild
from procedures_lib.fronts.site.rebuild import OF_SCOPE, Shown, digest_of
from tests.site.building import PROCEDURE, VEHICLE, SmallManual, project_manual

if TYPE_CHECKING:
    from procedures_lib.manual import Manual
    from tests.site.building import Built


@pytest.fixture
def small(tmp_path: Path) -> SmallManual:
    return SmallManual(tmp_path / "manual")


def test_a_clean_manual_builds_with_warnings_fatal(small: SmallManual) -> None:
    built = small.build(fatal=True)
    assert (built.status, built.warnings) == (0, "")


def test_a_torque_in_prose_comes_from_its_block(small: SmallManual) -> None:
    page = small.build().page("lift-cover").replace("\u00a0", " ")
    assert ">10 N·m (89 lbf·in)</span></a>" in page
    assert 'href="#fastener-cover-bolts"' in page
    assert 'id="fastener-cover-bolts"' in page


def test_a_name_links_to_its_row_on_the_vehicle_page(small: SmallManual) -> None:
    built = small.build()
    assert 'href="hatch.html#definition-cover"' in built.page("lift-cover")
    assert 'id="definition-cover"' in built.page("hatch")


def test_steps_are_numbered_and_show_what_to_tighten(small: SmallManual) -> None:
    page = small.build().page("lift-cover").replace("\u00a0", " ")
    assert 'id="step-1"' in page
    assert 'id="step-2"' in page
    assert ">10 N·m (89 lbf·in)</strong>" in page


def test_the_drawing_is_part_of_the_page(small: SmallManual) -> None:
    page = small.build().page("lift-cover")
    svg = page[page.index("<svg") : page.index("</svg>") + len("</svg>")]
    drawing = ET.fromstring(svg)  # noqa: S314 - our own text
    numbers = [text.text for text in drawing.iter("{http://www.w3.org/2000/svg}text")]
    assert numbers[:4] == ["1", "left", "2", "right"]


def test_the_landing_page_leads_to_the_procedure(small: SmallManual) -> None:
    page = small.build().page("index")
    card = page[page.index('<details class="car"') : page.index("</details>")]
    assert 'href="lift-cover.html#"' in card or 'href="lift-cover.html"' in card


@pytest.mark.parametrize("name", ["hatch", "lift-cover"])
def test_no_anchor_stands_twice_on_a_page(small: SmallManual, name: str) -> None:
    ids = [part.split('"')[0] for part in small.build().page(name).split(' id="')[1:]]
    assert sorted(ids) == sorted(set(ids))


RAISED = """
:::{step} Raise the car
---
do: [raise vehicle, lower vehicle]
tools: [trolley jack, axle stands]
---
:::

:::{step} Take the cover off"""


@pytest.mark.parametrize("preparation", ["```{preparation}\n```\n", ""])
def test_hazards_stand_before_step_1_and_at_the_step(small: SmallManual, preparation: str) -> None:
    small.change("lift-cover.md", ":::{step} Take the cover off", RAISED.strip())
    small.change("lift-cover.md", "```{preparation}\n```\n", preparation)
    page = small.build(fatal=True).page("lift-cover")
    before, at = page.split('id="step-1"')
    assert before.count("DANGER") == 1
    assert "crushes whoever is under it" in before
    assert "DANGER" in at.split('id="step-2"')[0]


def test_each_step_says_what_is_open_after_it(small: SmallManual) -> None:
    page = small.build().page("lift-cover")
    first, second = page.split('id="step-1"')[1].split('id="step-2"')
    assert "Open after this step: 1" in first
    assert "Open after this step" not in second


WAY = "```{%s}\n:after: off\n```\n\n:::{step} Put the cover back"


def test_a_page_shows_open_items_and_the_way_back_where_it_asks(small: SmallManual) -> None:
    small.change("lift-cover.md", ":time: 5 min", ":time: 5 min\n:id: off")
    small.change("lift-cover.md", ":::{step} Put the cover back", WAY % "open-items")
    small.change("lift-cover.md", ":::{step} Put the cover back", WAY % "back-out")
    page = small.build(fatal=True).page("lift-cover").replace("\u00a0", " ")
    assert "Open after step 1" in page
    way = page[page.index("If you must stop for good after step 1") :].split("</details>")[0]
    assert "<li>Fit Engine cover</li>" in way
    assert "<li>Tighten 2 × Cover bolts: 10 N·m (89 lbf·in), in the order left, right</li>" in way


def test_open_items_of_a_page_with_errors_are_not_called_none(small: SmallManual) -> None:
    small.change("lift-cover.md", ":::{step} Put the cover back", WAY % "open-items")
    small.change("lift-cover.md", ":time: 5 min", ":time: 5 min\n:id: off")
    small.change("lift-cover.md", "- fit cover", "- fit covr")
    assert "Not known: " in small.build().page("lift-cover")


# -- exact rebuilds ----------------------------------------------------------------


def test_nothing_changed_nothing_read(small: SmallManual) -> None:
    small.build()
    assert small.build().read == []


def test_a_changed_torque_rebuilds_the_pages_that_show_it(small: SmallManual) -> None:
    small.write("apart.md", PROCEDURE.replace("lift-cover", "apart").replace("cover-bolts", "x"))
    small.build()
    small.change("hatch.md", "[10 N·m]", "[11 N·m]")
    built = small.build()
    assert built.read == ["hatch", "lift-cover"]
    assert "11\u00a0N·m" in built.page("lift-cover")


def test_a_changed_thing_that_a_page_does_not_show_leaves_it_alone(small: SmallManual) -> None:
    small.build()
    small.change("hatch.md", "[20 N·m]", "[21 N·m]")
    assert small.build().read == ["hatch"]


def test_a_block_that_only_moved_leaves_other_pages_alone(small: SmallManual) -> None:
    small.build()
    small.change("hatch.md", "# Small hatch\n", "# Small hatch\n\nA line more.\n\nAnd another.\n")
    assert small.build().read == ["hatch"]


def test_a_new_entity_rebuilds_the_page_that_waited_for_it(small: SmallManual) -> None:
    small.change("lift-cover.md", "Both {fastener}`cover-bolts`", "Both {part}`late` and they")
    assert "unknown-id" in small.build().warnings
    small.change("hatch.md", "```{parts}\n", "```{parts}\nlate: {name: Late part}\n")
    built = small.build()
    assert built.read == ["hatch", "lift-cover"]
    assert "late part" in built.page("lift-cover")


def test_a_new_procedure_rebuilds_the_landing_page(small: SmallManual) -> None:
    small.build()
    small.write("second.md", PROCEDURE.replace("lift-cover", "second"))
    assert "index" in small.build().read


def test_things_are_looked_at_one_by_one_only_where_some_page_in_scope_says_other_things(
    small: SmallManual, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: set[str] = set()
    note = Shown.note

    def asking(manual: Manual, key: tuple[str, ...]) -> str:
        asked.add(key[0])
        return digest_of(manual, key)

    def noting(shown: Shown, *key: str) -> None:
        """What a page shows while it is read is noted, and is no question."""
        with monkeypatch.context() as reading:
            reading.setattr(rebuild, "digest_of", digest_of)
            note(shown, *key)

    small.build()
    monkeypatch.setattr(rebuild, "digest_of", asking)
    monkeypatch.setattr(Shown, "note", noting)
    small.change("lift-cover.md", "Both {fastener}", "All {fastener}")
    assert small.build().read == ["lift-cover"]
    assert "scope" in asked
    assert not asked & OF_SCOPE
    small.change("hatch.md", "[20 N·m]", "[21 N·m]")
    assert small.build().read == ["hatch"]
    assert asked >= OF_SCOPE


def test_findings_are_told_again_when_nothing_is_rebuilt(small: SmallManual) -> None:
    small.change("lift-cover.md", "remove cover-bolts, cover", "remove cover-bolt, cover")
    first, second = small.build(), small.build()
    assert second.read == []
    assert "unknown-id" in first.warnings
    assert first.warnings == second.warnings


def test_serial_and_parallel_builds_give_the_same_bytes(demo_built: Built, tmp_path: Path) -> None:
    serial, parallel = demo_built, project_manual(tmp_path).build(jobs=2)
    names = sorted(p.relative_to(serial.html) for p in serial.html.rglob("*.html"))
    assert len(names) > 10
    assert names == sorted(p.relative_to(parallel.html) for p in parallel.html.rglob("*.html"))
    for name in names:
        assert (serial.html / name).read_bytes() == (parallel.html / name).read_bytes(), name


# -- warnings ----------------------------------------------------------------------


def test_a_finding_is_a_warning_at_its_line(small: SmallManual) -> None:
    small.change("lift-cover.md", "- tighten cover-bolts", "- tighten cover-bolt")
    line = PROCEDURE.split("\n").index("  - tighten cover-bolts") + 1
    built = small.build(fatal=True)
    assert f"lift-cover.md:{line}: WARNING: " in built.warnings
    assert "did you mean `cover-bolts`?" in built.warnings
    assert "[procedures.unknown-id]" in built.warnings
    assert built.status == 1


def test_a_finding_of_level_warning_does_not_fail_the_build(small: SmallManual) -> None:
    small.change("lift-cover.md", "come out.", "come out after 5 min.")
    built = small.build(fatal=True)
    assert (built.status, built.warnings) == (0, "")
    assert "hand-typed-number" in built.notes


def test_blocks_brought_in_by_include_are_refused(small: SmallManual) -> None:
    (small.root / "docs" / "more.txt").write_text("```{parts}\nx: {name: X}\n```\n", "utf-8")
    small.change("hatch.md", "# Small hatch\n", "# Small hatch\n\n```{include} more.txt\n```\n")
    built = small.build()
    assert 'id="part-x"' not in built.page("hatch")
    assert "`{include}` is not read by the checks" in built.warnings
    assert "Engine cover" in built.page("hatch")


def test_one_bad_page_does_not_hide_another(small: SmallManual) -> None:
    small.write("broken.md", "# Broken\n\n```{parts}\na: [\n```\n")
    small.write("latin.md", "# Latin\n")
    (small.root / "docs" / "latin.md").write_bytes(b"# Latin\n\n\xe9\n")
    built = small.build()
    assert "broken.md:" in built.warnings
    assert "unreadable-page" in built.warnings
    assert "10\u00a0N·m" in built.page("lift-cover")


@pytest.mark.parametrize("where", ["name: Small hatch", "name: Engine cover", "sheet 1"])
def test_markup_in_a_name_is_shown_as_text(small: SmallManual, where: str) -> None:
    evil = "<script>alert(1)</script>"
    small.write("hatch.md", VEHICLE.replace(where, f"{where} {evil}"))
    built = small.build()
    for name in ("hatch", "lift-cover", "index"):
        assert "<script>alert" not in built.page(name)


def test_markup_in_a_step_title_is_shown_as_text(small: SmallManual) -> None:
    small.change("lift-cover.md", "Take the cover off", "Take <b onclick=x>it</b> off")
    assert "<b onclick" not in small.build().page("lift-cover")


def test_the_projects_own_manual_builds_without_a_warning(demo_built: Built) -> None:
    assert (demo_built.status, demo_built.warnings) == (0, "")
    assert len(demo_built.read) > 100


def test_other_builders_get_the_words(small: SmallManual) -> None:
    built = small.build(builder="text")
    text = built.html.joinpath("lift-cover.txt").read_text("utf-8").replace("\u00a0", " ")
    assert "Cover bolts" in text
    assert "10 N·m" in text
