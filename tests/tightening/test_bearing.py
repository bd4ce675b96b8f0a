"""The ring under a head, against dw of ISO 4014 (regular hexagon), DIN 6921 (flange), ISO 4762.

Read in reprints: M8 dw 11.63 (ISO 4014, product grade A); from memory: DIN 6921 dc, ISO 4762 dk.
"""

from __future__ import annotations

import pytest

from procedures_lib.engineering.tightening.friction import bearing_of, medium_hole

HEADS = [
    ("hex 8 mm", 5, 6.88, 11.8),  # ISO 4014 dw (from memory), DIN 6921 dc
    ("hex 10 mm", 6, 8.88, 14.2),
    ("hex 13 mm", 8, 11.63, 17.9),
    ("hex 16 mm", 10, 14.63, 21.8),
    ("hex 18 mm", 12, 16.63, 26.0),
    ("hex 21 mm", 14, 19.37, 29.9),
    ("hex 24 mm", 16, 22.49, 34.5),
]


@pytest.mark.parametrize(("head", "diameter", "plain", "flanged"), HEADS)
def test_a_hexagon_may_be_plain_or_have_a_flange(
    head: str, diameter: float, plain: float, flanged: float
) -> None:
    outer = bearing_of(head, diameter).outer
    assert plain in outer
    assert flanged in outer


@pytest.mark.parametrize(
    "head", ["socket hex 6 mm", "torx T40", "12-point 10 mm", "", "e-torx E12"]
)
def test_other_heads_hold_a_cap_screw_and_a_flange(head: str) -> None:
    outer = bearing_of(head, 8).outer
    assert 13 in outer  # ISO 4762 dk, from memory
    assert 17.5 in outer


@pytest.mark.parametrize("head", ["hex 1/2 in", "hex 0.5 in", "Hex 12.7 mm"])
def test_inches_are_read(head: str) -> None:
    assert bearing_of(head, 7.9375).outer.low == pytest.approx(0.86 * 12.7)


@pytest.mark.parametrize("head", ["hex", "hex big", "hex 3 mm", "hex 99 mm", "hex 10"])
def test_a_head_that_can_not_be_is_not_believed(head: str) -> None:
    assert bearing_of(head, 8) == bearing_of("", 8)


def test_a_cone_counts_as_a_larger_ring() -> None:
    assert bearing_of("countersunk torx T30", 8).outer.high > bearing_of("torx T30", 8).outer.high
    assert bearing_of("hex flange 13 mm", 8).outer.low > bearing_of("hex 13 mm", 8).outer.low


@pytest.mark.parametrize(
    ("diameter", "hole"),
    [(5, 5.5), (6, 6.6), (8, 9), (10, 11), (12, 13.5), (14, 15.5), (16, 17.5)],
)
def test_holes_are_those_of_iso_273(diameter: float, hole: float) -> None:
    """ISO 273, medium: 12 to 16 as ASME B18.2.8, the others from memory."""
    assert medium_hole(diameter) == hole


def test_the_friction_acts_between_hole_and_edge() -> None:
    bearing = bearing_of("hex 13 mm", 8)
    assert bearing.mean_diameter.low == pytest.approx((0.86 * 13 + 9) / 2)
    assert bearing.hole < bearing.mean_diameter.low < bearing.mean_diameter.high
