"""The prose of a step in plain words: each role as the page shows it."""

from __future__ import annotations

import pytest

from procedures_lib.fronts.tables.plain_words import prose
from tests.mule import mule_uses


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ("To {torque}`cover-bolts`.", "To hand, then 10 N·m (89 lbf·in)."),
        ("Both {fastener}`cover-bolts` out.", "Both cover bolts out."),
        ("Lift the {part}`cover`.", "Lift the top cover."),
        ("With a {tool}`trim lever`.", "With a trim lever."),
        ("{part}`cover` off. {fastener}`cover-bolts` stay.", "Top cover off. Cover bolts stay."),
        ("It is loose: {fastener}`cover-bolts`.", "It is loose: cover bolts."),
        ("(Now.) {tool}`trim lever` in!", "(Now.) Trim lever in!"),
        ("- {part}`cover` off", "• Top cover off"),
        ("Leave {q}`8 mm` free.", "Leave 8 mm (5/16 in) free."),
        ("As in {step}`2`.", "As in 2."),
        ("See {doc}`the guide <writing/guide>`.", "See the guide."),
        ("To {torque}`no-such-bolts`.", "To no-such-bolts."),
        ("A {q}`good deal`.", "A good deal."),
    ],
)
def test_each_role(body: str, expected: str) -> None:
    [text] = prose(body, mule_uses())
    assert text.replace("\u00a0", " ") == expected


def test_a_torque_of_other_cars_is_not_said() -> None:
    body = "Side: {torque}`side-bolt`."
    assert prose(body, mule_uses("transmission=automatic")) == ("Side: (not on this car).",)
    [said] = prose(body, mule_uses("transmission=manual"))
    assert "22\u00a0N·m" in said
