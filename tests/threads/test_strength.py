"""Strength by grade against ISO 898-1, ISO 3506-1 and SAE J429 as printed."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.threads import GradeError, Thread, dimensions, read_thread, strength
from procedures_lib.engineering.threads.bolt_grades import grades
from procedures_lib.engineering.threads.designation import PSI
from tests.threads.reading import label, rows

M8, M20, QUARTER = read_thread("M8"), read_thread("M20"), read_thread("1/4-20 UNC")


@pytest.mark.parametrize("row", rows("property_classes.csv"), ids=label)
def test_property_classes_as_printed(row: dict[str, str]) -> None:
    thread = M20 if row["sizes"] == "d>16 mm" else M8
    found = strength(row["class"], thread)
    assert found is not None
    assert found.proof_stress == float(row["proof_MPa"])
    assert found.yield_stress == float(row["yield_MPa"])
    assert found.tensile_strength == float(row["tensile_MPa"])
    assert found.source.startswith("ISO 898-1")


def test_class_8_8_changes_above_16_mm() -> None:
    at_16, above = strength("8.8", read_thread("M16")), strength("8.8", read_thread("M18"))
    assert at_16 is not None
    assert above is not None
    assert (at_16.proof_stress, above.proof_stress) == (580, 600)


@pytest.mark.parametrize("row", rows("proof_loads.csv"), ids=label)
def test_proof_loads_as_printed(row: dict[str, str]) -> None:
    # The standard multiplies areas of three figures and rounds the load again, so up to 0.62 % off.
    thread = read_thread(row["designation"])
    found = strength(row["class"], thread)
    assert found is not None
    load = found.proof_stress * dimensions(thread).stress_area
    assert load == pytest.approx(float(row["proof_load_N"]), rel=0.0065)


# Misprints in a reprint of the tensile loads of ISO 898-1, tables 4 and 6 (N).
@pytest.mark.parametrize(
    ("text", "grade", "wrong", "right"),
    [
        ("M4", "10.9", 91130, 9130),
        ("M12", "9.8", 75200, 75900),
        ("M20", "10.9", 250000, 255000),
    ],
)
def test_misprinted_tensile_loads(text: str, grade: str, wrong: float, right: float) -> None:
    thread = read_thread(text)
    found = strength(grade, thread)
    assert found is not None
    load = found.tensile_strength * dimensions(thread).stress_area
    assert load == pytest.approx(right, rel=0.0025)
    assert load != pytest.approx(wrong, rel=0.005)


@pytest.mark.parametrize("row", rows("inch_grades.csv"), ids=label)
def test_inch_grades_as_printed(row: dict[str, str]) -> None:
    over = row["sizes_in"].startswith("over")
    size = {"2": "7/8-9 UNC", "5": "1 1/8-7 UNC"}[row["grade"]] if over else "1/4-20 UNC"
    found = strength(f"grade {row['grade']}", read_thread(size))
    assert found is not None
    psi = (found.proof_stress / PSI, found.yield_stress / PSI, found.tensile_strength / PSI)
    printed = (row["proof_psi"], row["yield_psi"], row["tensile_psi"])
    assert psi == pytest.approx([float(value) for value in printed], rel=1e-9)


def test_a_psi_is_that_of_nist() -> None:
    assert pytest.approx(6.894757e-3, rel=1e-7) == PSI  # NIST SP 811, B.8: 6.894757 kPa


GRADED = [row for row in rows("inch_threads.csv") if row["proof_grade_8_lbf"]]


@pytest.mark.parametrize("row", GRADED, ids=label)
@pytest.mark.parametrize("grade", ["2", "5", "8"])
def test_inch_proof_loads_as_printed(row: dict[str, str], grade: str) -> None:
    thread = read_thread(row["designation"])
    found = strength(f"grade {grade}", thread)
    assert found is not None
    pounds = found.proof_stress * dimensions(thread).stress_area / 4.4482216152605
    assert pounds == pytest.approx(float(row[f"proof_grade_{grade}_lbf"]), rel=0.002)


# ISO 3506-1:2009; the same figures stand in reprints of makers' handbooks.
@pytest.mark.parametrize(
    ("grade", "proof", "tensile"),
    [("A2-50", 210, 500), ("A2-70", 450, 700), ("A4-70", 450, 700), ("A4-80", 600, 800)],
)
def test_stainless_classes_as_printed(grade: str, proof: float, tensile: float) -> None:
    found = strength(grade, M8)
    assert found is not None
    assert (found.proof_stress, found.tensile_strength) == (proof, tensile)


def test_every_grade_bears_more_before_it_breaks_than_before_it_yields() -> None:
    for rows_of_a_grade in grades().values():
        for row in rows_of_a_grade:
            least = row.strength
            assert 0 < least.proof_stress <= least.yield_stress < least.tensile_strength


def test_a_property_class_says_its_own_strength() -> None:
    # ISO 898-1, clause 5: a hundredth of the tensile strength, and ten times the ratio of yield.
    for name in ("4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"):
        hundreds, tenths = (int(part) for part in name.split("."))
        found = strength(name, M8)
        assert found is not None
        assert hundreds * 100 <= found.tensile_strength <= hundreds * 100 * 1.05
        nominal_yield = hundreds * 100 * tenths / 10
        assert nominal_yield <= found.yield_stress <= nominal_yield * 1.0625  # 340 for 4.8


@pytest.mark.parametrize(
    ("written", "thread", "name"),
    [
        ("8.8", M8, "8.8"),
        (" 8.8 ", M8, "8.8"),
        ("8,8", M8, "8.8"),
        ("class 10.9", M8, "10.9"),
        ("grade 8.8", M8, "8.8"),
        ("grade 8", QUARTER, "grade 8"),
        ("Grade 8", QUARTER, "grade 8"),
        ("SAE J429 grade 5", QUARTER, "grade 5"),
        ("gr. 5.2", QUARTER, "grade 5.2"),
        ("a2-70", M8, "A2-70"),
        ("A4L-80", M8, "A4-80"),
        ("A2 70", M8, "A2-70"),
    ],
)
def test_ways_to_write_a_grade(written: str, thread: Thread, name: str) -> None:
    found = strength(written, thread)
    assert found is not None
    assert found.grade == name


@pytest.mark.parametrize("written", ["", "unknown", "Unknown", "08.8", "010.9"])
def test_what_is_not_judged(written: str) -> None:
    assert strength(written, M8) is None


def test_a_property_class_is_let_pass_on_an_inch_stud() -> None:
    assert strength("10.9", read_thread("1/2-20 UNF")) == strength("10.9", M8)


def test_below_a_quarter_inch_the_grade_keeps_its_strength() -> None:
    # Common practice, no source: small screws are sold with the marks of the larger ones.
    assert strength("grade 8", read_thread("#10-32 UNF")) == strength("grade 8", QUARTER)


@pytest.mark.parametrize(
    ("written", "size", "hint"),
    [
        ("9.7", "M8", "look at the mark on the head: `9.8`, "),
        ("8.9", "M8", "look at the mark on the head: `8.8`, "),
        ("10.8", "M8", "look at the mark on the head: `10.9`, "),
        ("grade 9.7", "M8", "look at the mark on the head: `9.8`, "),
        ("A2-60", "M8", "look at the mark on the head: `A2-"),
        ("grade 6", "1/4-20", "look at the mark on the head: `grade 1`, `grade 2`, "),
        ("8", "M8", "one number is the class of a nut; write `8.8`"),
        ("7", "M8", "one number is the class of a nut"),
        ("8", "1/4-20", "write `grade 8` (SAE J429)"),
        ("A2", "M8", "write the strength class too"),
        ("titanium", "M8", "write `8.8`"),
        ("x" * 500, "M8", "write `8.8`"),
        ("grade 5", "M8", "write the class on the head"),
        ("9.8", "M18", "look at the mark on the head"),
        ("grade 8.2", "1 1/8-7 UNC", "look at the mark on the head"),
        ("grade 5", "1 3/4-5 UNC", "look at the mark on the head"),
    ],
)
def test_grades_that_do_not_exist_or_do_not_go_with_the_thread(
    written: str, size: str, hint: str
) -> None:
    with pytest.raises(GradeError) as caught:
        strength(written, read_thread(size))
    assert caught.value.message
    assert caught.value.hint.startswith(hint)
