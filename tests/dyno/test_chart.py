"""The chart: what stands where, and that it can be read without colours and without eyes."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from procedures_lib.fronts.site.chart import (
    Chart,
    Curve,
    Panel,
    chart_svg,
    chart_words,
    rounded_up,
    scale,
    tick_text,
    ticks_between,
)

SVG = "{http://www.w3.org/2000/svg}"
SPEEDS = range(2000, 6001, 1000)


def curve(style: str, high: float, *, band: float = 0.0) -> Curve:
    points = tuple((float(rpm), high - abs(rpm - 4000) / 100) for rpm in SPEEDS)
    edges = tuple((x, y - band, y + band) for x, y in points) if band else ()
    return Curve(style, f"{style}: {high} kW at 4000 rpm", points, edges, (4000.0, high))


def chart(*curves: Curve) -> Chart:
    return Chart("Power & torque", (Panel("Power", "kW", curves),), "Shaded: all pulls.")


def drawn(shown: Chart) -> ET.Element:
    return ET.fromstring(chart_svg(shown))  # noqa: S314 - our own text


def places(line: ET.Element) -> list[tuple[float, float]]:
    return [tuple(map(float, pair.split(","))) for pair in line.attrib["points"].split()]  # type: ignore[misc]


BOTH = chart(curve("before", 100.0, band=2.0), curve("after", 120.0, band=2.0))


def test_the_scale_begins_at_zero_and_is_the_same_for_both_curves() -> None:
    svg = drawn(BOTH)
    before, after = (places(line) for line in svg.iter(f"{SVG}polyline"))
    axis = [text for text in svg.iter(f"{SVG}text") if text.attrib["text-anchor"] == "end"]
    labels = {text.text: float(text.attrib["y"]) - 4 for text in axis[:-1]}
    assert next(iter(labels)) == "0"
    per_kw = (labels["0"] - labels["100"]) / 100
    assert before[2][1] == pytest.approx(labels["100"], abs=0.1)
    assert labels["0"] - after[2][1] == pytest.approx(120 * per_kw, abs=0.1)
    assert [x for x, _ in before] == [x for x, _ in after]


def test_before_and_after_differ_without_colour() -> None:
    svg = drawn(BOTH)
    before, after = svg.iter(f"{SVG}polyline")
    assert "stroke-dasharray" in before.attrib
    assert "stroke-dasharray" not in after.attrib
    fills = [
        c.attrib["fill"] for c in svg.iter(f"{SVG}circle") if "chart-after" in c.attrib["class"]
    ]
    assert set(fills) == {"currentColor"}
    rings = [
        c.attrib["fill"] for c in svg.iter(f"{SVG}circle") if "chart-before" in c.attrib["class"]
    ]
    assert set(rings) == {"none"}


def test_no_colour_is_fixed() -> None:
    text = chart_svg(BOTH)
    assert "#" not in text.replace("http://www.w3.org/2000/svg", "")
    assert 'stroke="currentColor"' in text


def test_the_peak_is_marked_where_it_is() -> None:
    svg = drawn(BOTH)
    line = places(next(svg.iter(f"{SVG}polyline")))
    marks = [(float(c.attrib["cx"]), float(c.attrib["cy"])) for c in svg.iter(f"{SVG}circle")]
    assert line[2] in marks


def test_the_band_lies_around_its_curve() -> None:
    svg = drawn(BOTH)
    band = places(next(svg.iter(f"{SVG}polygon")))
    line = places(next(svg.iter(f"{SVG}polyline")))
    assert len(band) == 2 * len(line)
    assert band[0][1] < line[0][1] < band[-1][1]


def test_it_can_be_read_aloud() -> None:
    svg = drawn(BOTH)
    words = chart_words(BOTH)
    assert svg.attrib["role"] == "img"
    assert svg.attrib["aria-label"] == words
    assert next(svg.iter(f"{SVG}desc")).text == words
    for said in (
        "Power & torque",
        "in kW",
        "before: 100.0 kW at 4000 rpm",
        "after: 120.0",
        "Shaded",
    ):
        assert said in words


def test_a_loss_is_below_the_zero_line() -> None:
    points = tuple((float(rpm), -3.0) for rpm in SPEEDS)
    svg = drawn(chart(Curve("gain", "less", points)))
    zero = next(line for line in svg.iter(f"{SVG}line") if line.attrib["class"] == "chart-zero")
    assert all(y > float(zero.attrib["y1"]) for _, y in places(next(svg.iter(f"{SVG}polyline"))))


def test_panels_stand_one_below_the_other() -> None:
    panels = tuple(Panel(name, "kW", (curve("after", 90.0),)) for name in ("Power", "Torque"))
    svg = drawn(Chart("Both", panels))
    upper, lower = (places(line) for line in svg.iter(f"{SVG}polyline"))
    assert max(y for _, y in upper) < min(y for _, y in lower)
    assert float(svg.attrib["height"]) > max(y for _, y in lower)


def test_a_flat_line_and_nothing_at_all_are_drawn() -> None:
    flat = tuple((float(rpm), 0.0) for rpm in SPEEDS)
    assert places(next(drawn(chart(Curve("gain", "none", flat))).iter(f"{SVG}polyline")))


@pytest.mark.parametrize(
    ("low", "high", "about", "expected"),
    [
        (0, 250, 5, (0, 50, 100, 150, 200, 250)),
        (1450, 6150, 5, (2000, 3000, 4000, 5000, 6000)),
        (-3, 17, 5, (0, 5, 10, 15)),
        (0, 0.9, 4, (0, 0.25, 0.5, 0.75)),
    ],
)
def test_ticks(low: float, high: float, about: int, expected: tuple[float, ...]) -> None:
    assert ticks_between(low, high, about) == pytest.approx(expected)


def test_scales() -> None:
    assert rounded_up(172, 5) == 200
    assert scale(0, 10, 100, 0, 5).place(2.5) == 75
    assert scale(3, 3, 0, 1, 5).low < 3
    assert tick_text(-2.5) == "\u22122.5"
    assert tick_text(0.1 + 0.2) == "0.3"
