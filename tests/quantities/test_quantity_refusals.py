"""Every kind of bad input, with its message and what to write instead.

The reading of "35 lb" is that of the page language; its figures are 35 times the NIST SP 811
factors, 47.45 and 3.95 N·m. Imperial quart: 1.136523 L (NIST SP 811, App. B.8, from memory).
"""

from __future__ import annotations

import pickle

import pytest

from procedures_lib.engineering.quantities import QuantityError, convert, read_quantity

NO_UNIT = [
    ("12", "torque", "12 has no unit", "write 12 N·m, or another unit of torque: lbf·ft, lbf·in"),
    ("90", "angle", "90 has no unit", "write 90°, or another unit of angle: turn"),
    ("12 ± 1", "torque", "12 ± 1 has no unit", "write 12 ± 1 N·m"),
    ("12", None, "12 has no unit", "for example 12 N·m"),
    ("10 nm", "torque", "10 nm: nm is the nanometre, a length", "write 10 N·m"),
    ("20 C", "temperature", "20 C: C is the coulomb", "write 20 °C"),
    ("5 mPa", "pressure", "5 mPa: mPa is the millipascal", "write 5 MPa"),
    ("12 Kpa", "pressure", "`Kpa` is no unit known here", "write 12 kPa"),
    ("12 kg·m", "torque", "`kg·m` is no unit known here", "write 12 kgf·m"),
    ("12 xyzzy", "torque", "`xyzzy` is no unit known here", "units of torque: N·m, lbf·ft"),
    ("12 xyzzy", None, "`xyzzy` is no unit known here", "N·m, °, mm"),
]
AMBIGUOUS = [
    (
        f"35 {word}",
        "torque",
        f"35 {word}: did you mean 35 lbf·ft = 47 N·m or 35 lbf·in = 4.0 N·m?",
        "write 35 lbf·ft or 35 lbf·in",
    )
    for word in ("lb", "lbs", "pound", "pounds", "#", "Lbs")
] + [
    (
        "30–35 lb",
        "torque",
        "30–35 lb: did you mean 30–35 lbf·ft = 41–47 N·m or 30–35 lbf·in = 3.4–4.0 N·m?",
        "write 30–35 lbf·ft or 30–35 lbf·in",
    ),
    (
        "5 qt",
        "volume",
        "5 qt: did you mean 5 US qt = 4.7 L or 5 imp qt = 5.7 L?",
        "write 5 US qt or 5 imp qt",
    ),
    ("5 gal", None, "5 US gal = 19 L or 5 imp gal = 23 L?", "write 5 US gal or 5 imp gal"),
]
WRONG = [
    ("12 mm", "torque", "12 mm is a length, a torque is wanted", "units of torque: N·m, lbf·ft"),
    ("12 N·m", "angle", "12 N·m is a torque, an angle is wanted", "units of angle: °, turn"),
    ("90°", "temperature", "90° is an angle, a temperature is wanted", "°C, °F"),
    ("100 km", "length", "100 km is a distance by road, a length is wanted", "mm, cm, m, in, ft"),
]
TOLERANCE = [
    ("12–10 N·m", "runs from the higher value to the lower", "write 10–12 N·m"),
    ("12-12 N·m", "leaves no room between its ends", "write 12 N·m"),
    ("12 ± 0 N·m", "leaves no room between its ends", "write 12 N·m"),
    ("12 ± 12 N·m", "reaches down to zero or below", "the tolerance has to be smaller than 12"),
    ("1 ± 12 N·m", "reaches down to zero or below", "did you mean 12 ± 1 N·m?"),
    ("12 N·m ± 100 %", "reaches down to zero or below", "smaller than 100 %"),
    ("12 ± -1 N·m", "has a negative tolerance", "write 12 ± 1 N·m"),
    ("12 ± N·m", "is not a number, a tolerance and a unit", "write it as 12 ± 1 N·m"),
    ("12 N·m ± 5 lbf·ft", "has two units, N·m and lbf·ft", "give both numbers in N·m"),
    ("90 °C ± 10 %", "a temperature has no tolerance in per cent", "tolerance in °C"),
]
RANGE = [
    ("0 N·m", "a torque has to be more than zero", "a torque of more than zero"),
    ("-5 N·m", "a torque has to be more than zero", "a torque of more than zero"),
    ("−5 mm", "a length has to be more than zero", "a length of more than zero"),
    ("-5 %", "a share has to be zero or more", "a share of zero or more"),
    ("-300 °C", "is below absolute zero", "from −273.15 °C"),
    ("-460 °F", "is below absolute zero", "(−459.67 °F) up"),
    ("+45°", "carries a sign, and none is wanted", "write 45°"),
]
NOT_A_NUMBER = [
    ("", "no quantity is written", "write, say, 12 N·m"),
    ("ten N·m", "`ten N·m` does not begin with a number", "write the number in digits"),
    ("N·m", "`N·m` does not begin with a number", "write the number in digits"),
    ("12,5 N·m", "has a comma in its number", "write 12.5 N·m"),
    ("1,200 N·m", "has a comma in its number", "write 1200 N·m"),
    ("1,2,3 N·m", "has a comma in its number", "write digits with a decimal point"),
    ("1e3 N·m", "writes its number with an exponent", "write 1000 N·m"),
    ("1e999999999 N·m", "writes its number with an exponent", "write digits"),
    ("nan N·m", "`nan N·m` is not a number", "write digits"),
    ("NaN", "`NaN` is not a number", "write digits"),
    ("-inf N·m", "`-inf N·m` is not a number", "write digits"),
    (".5 in", "begins its number with a point", "write 0.5 in"),
    ("12. N·m", "ends its number with a point", "write 12 N·m"),
    ("½ in", "writes its fraction as one sign", "write 1/2 in"),
    ("1½ in", "writes its fraction as one sign", "write 1 1/2 in"),
    ("1/0 in", "divides by zero", "write digits"),
    ("1 5/4 in", "the fraction of a mixed number is below one", "write 2 1/4"),
    ("1234567890123 mm", "has a number of more than 12 digits", "no more than 12 digits"),
    ("1.2.3 N·m", "is not one number and a unit", "write it as 12 N·m"),
    ("10-12-14 N·m", "is not one number and a unit", "write it as 12 N·m"),
    ("1" * 1_000_000, "is too long for a quantity", "write a number and a unit"),
    ("1-" * 500_000, "is too long for a quantity", "write a number and a unit"),
    ("١٢ N·m", "does not begin with a number", "write the number in digits"),
]


def _refused(text: str, kind: str | None = None) -> QuantityError:
    with pytest.raises(QuantityError) as caught:
        read_quantity(text, kind)
    return caught.value


@pytest.mark.parametrize(
    ("check", "text", "kind", "message", "hint"),
    [("no-unit", *row) for row in NO_UNIT]
    + [("ambiguous-unit", *row) for row in AMBIGUOUS]
    + [("wrong-dimension", *row) for row in WRONG],
)
def test_unit_refused(check: str, text: str, kind: str | None, message: str, hint: str) -> None:
    error = _refused(text, kind)
    assert error.check == check
    assert message in error.message
    assert hint in error.hint


@pytest.mark.parametrize(
    ("check", "text", "message", "hint"),
    [("bad-tolerance", *row) for row in TOLERANCE]
    + [("out-of-range", *row) for row in RANGE]
    + [("not-a-number", *row) for row in NOT_A_NUMBER],
    ids=lambda value: value[:20],
)
def test_number_refused(check: str, text: str, message: str, hint: str) -> None:
    error = _refused(text)
    assert error.check == check
    assert message in error.message
    assert hint in error.hint


@pytest.mark.parametrize(("text", "kind"), [(row[0], row[1]) for row in AMBIGUOUS])
def test_message_of_an_ambiguous_unit_is_one_line(text: str, kind: str | None) -> None:
    error = _refused(text, kind)
    assert str(error) == error.message
    assert "\n" not in error.message


def test_octane_numbers_are_not_converted() -> None:
    with pytest.raises(QuantityError) as caught:
        convert(read_quantity("93 AKI"), "RON")
    assert caught.value.check == "wrong-dimension"
    assert "AKI and RON have no conversion" in caught.value.message


def test_converting_to_another_kind_is_refused() -> None:
    with pytest.raises(QuantityError) as caught:
        read_quantity("12 N·m").exact("mm")
    assert caught.value.message == "12 N·m is a torque, mm is for a length"
    with pytest.raises(QuantityError) as unknown:
        read_quantity("12 N·m").exact("xyzzy")
    assert unknown.value.check == "no-unit"


def test_zero_is_a_reading_of_a_gauge() -> None:
    assert read_quantity("0 bar").value == 0
    assert read_quantity("0 V").value == 0
    assert read_quantity("0 %").value == 0


def test_an_error_survives_pickling() -> None:
    error = _refused("35 lb", "torque")
    again = pickle.loads(pickle.dumps(error))  # noqa: S301  our own bytes
    assert (again.check, again.message, again.hint) == (error.check, error.message, error.hint)


@pytest.mark.parametrize(
    ("text", "kind", "hint"),
    [
        ("12 daN·m", "torque", "write 120 N·m"),
        ("12–14 daN·m", "torque", "write 120–140 N·m"),
        ("12 kN·m", "torque", "write 12000 N·m"),
        ("5 dL", "volume", "write 0.5 L"),
        ("3 Mbar", "pressure", "write 3000000 bar"),
        ("12±10% N·m", "torque", "write the unit before the tolerance: 12 N·m ± 10 %"),
        ("1,234 mm", "length", "write 1234 mm, or 1.234 mm if the comma is a decimal one"),
        ("1.234,5 mm", "length", "write 1234.5 mm"),
        ("1 000 rpm", "rotation", "write 1000 rpm"),
        ("1'000 rpm", "rotation", "write 1000 rpm"),
        ("12 nM", "torque", "if N·m is meant, write 12 N·m"),
        ("12 mm²", "length", "units of length: mm, cm, m, in, ft"),
        ("20/22 N·m", "torque", "write 20–22 N·m for two, a decimal number for the fraction"),
        ("1/2 N·m", "torque", "write 1–2 N·m for two, a decimal number for the fraction"),
        ("0-0/1 N", "force", "write 0–1 N for two, a decimal number for the fraction"),
        ("10/12 in", "length", "write 10–12 in for two, a decimal number for the fraction"),
    ],
)
def test_a_hint_keeps_the_value_or_asks(text: str, kind: str, hint: str) -> None:
    """Prefixes after the SI brochure, 9th ed., table 7."""
    with pytest.raises(QuantityError) as caught:
        read_quantity(text, kind)
    assert caught.value.hint == hint


@pytest.mark.parametrize("text", ["3/4 in", "1 1/2 in", "1/6 turn", "1/12 turn", "1/2 US gal"])
def test_a_fraction_of_the_trade_is_one_number(text: str) -> None:
    assert not read_quantity(text).is_range
