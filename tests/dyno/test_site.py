"""The report on the site: built with warnings fatal, and built anew when a file changes."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tests.dyno.world import PAGE, pulls
from tests.site.building import SmallManual

VEHICLE, REST = PAGE.split("```{dyno-session}")
PROCEDURE = f"{VEHICLE}\n```{{handover}}\n```\n".replace("# Cooler on the dyno", "# Fit it")
SESSION = "# Cooler on the dyno\n\n```{dyno-session}" + REST
INDEX = "# Manual\n\n```{toctree}\n:glob:\n\nfit\nrun\nother\n```\n"


@pytest.fixture
def small(tmp_path: Path) -> SmallManual:
    pages = {"index.md": INDEX, "fit.md": PROCEDURE, "run.md": SESSION, "other.md": "# Other\n"}
    manual = SmallManual(tmp_path / "manual", pages=pages)
    for name, text in pulls().items():
        manual.write(f"data/{name}", text)
    return manual


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_the_report_is_built_without_a_warning(small: SmallManual) -> None:
    built = small.build(fatal=True)
    assert (built.status, built.warnings) == (0, "")
    page = plain(built.page("run"))
    assert "Power +28." in page
    assert "This car, on this day" in page
    assert ">met<" in page


def test_the_chart_is_part_of_the_page(small: SmallManual) -> None:
    page = small.build().page("run")
    svg = page[page.index("<svg") : page.index("</svg>") + len("</svg>")]
    drawing = ET.fromstring(svg)  # noqa: S314 - our own text
    lines = list(drawing.iter("{http://www.w3.org/2000/svg}polyline"))
    assert [line.attrib["class"].split()[1] for line in lines] == [
        "chart-before", "chart-after", "chart-before", "chart-after", "chart-gain",
    ]  # fmt: skip


def test_the_handover_sheet_has_the_gain(small: SmallManual) -> None:
    page = plain(small.build().page("fit"))
    assert "<dt>Measured gain</dt><dd>Power +28." in page


def test_nothing_changed_nothing_read(small: SmallManual) -> None:
    small.build()
    assert small.build().read == []


def test_a_changed_file_rebuilds_what_shows_it(small: SmallManual) -> None:
    small.build()
    small.write("data/after-1.csv", pulls(after=260.0)["after-1.csv"])
    built = small.build()
    assert built.read == ["fit", "run"]
    assert "Power +33." in plain(built.page("run"))
    assert "Power +33." in plain(built.page("fit"))


def test_a_file_that_comes_later_rebuilds_what_waited_for_it(small: SmallManual) -> None:
    path = small.root / "docs" / "data" / "after-1.csv"
    path.rename(path.with_suffix(".away"))
    built = small.build()
    assert "unreadable-pull" in built.warnings
    assert "No gain is given" in built.page("run")
    path.with_suffix(".away").rename(path)
    again = small.build()
    assert (again.read, again.warnings) == (["fit", "run"], "")


def test_a_changed_claim_rebuilds_the_report(small: SmallManual) -> None:
    small.build()
    small.change("fit.md", "power: +10 hp", "power: +29 hp")
    built = small.build()
    assert built.read == ["fit", "run"]
    assert "can&#x27;t tell" in built.page("run")


def test_a_new_session_rebuilds_the_handover_sheet(small: SmallManual) -> None:
    small.write("run.md", "# Cooler on the dyno\n")
    assert "Measured gain" not in small.build().page("fit")
    small.write("run.md", SESSION)
    built = small.build()
    assert built.read == ["fit", "run"]
    assert "Measured gain" in built.page("fit")


def test_a_refused_session_says_why(small: SmallManual) -> None:
    small.change(
        "run.md", "{pull: data/after-3.csv,", "{pull: data/after-3.csv, conditions: {gear: 3},"
    )
    built = small.build()
    assert "procedures.not-comparable" in built.warnings
    page = built.page("run")
    assert "No gain is given" in page
    assert "<svg" not in page
    assert "No gain is given" in built.page("fit")


def test_other_outputs_get_the_words(small: SmallManual) -> None:
    built = small.build(builder="text")
    text = " ".join(plain(built.html.joinpath("run.txt").read_text(encoding="utf-8")).split())
    assert "Power +28." in text
    assert "Power in hp over engine speed: before: " in text
