"""Nuts against the proof loads of ISO 898-2 and the stresses of SAE J995 as printed."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.threads import GradeError, dimensions, read_thread, strength
from procedures_lib.engineering.threads.designation import PSI
from procedures_lib.engineering.threads.nuts import bolt_for, goes_with, nut
from tests.threads.reading import label, rows

M8 = read_thread("M8")


@pytest.mark.parametrize("row", rows("nut_proof_loads.csv"), ids=label)
def test_proof_loads_as_printed(row: dict[str, str]) -> None:
    thread = read_thread(row["designation"])
    found = nut(row["class"], thread)
    assert found is not None
    assert found.proof_stress is not None
    load = found.proof_stress * dimensions(thread).stress_area
    assert load == pytest.approx(float(row["proof_load_N"]), rel=0.005)


# SAE J995, table of proof stresses for hexagon nuts, as reprinted (psi).
@pytest.mark.parametrize(
    ("grade", "size", "psi"),
    [
        ("grade 2", "1/2-13 UNC", 90000),
        ("grade 5", "1/2-13 UNC", 120000),
        ("grade 5", "1/2-20 UNF", 109000),
        ("grade 5", "1 1/8-7 UNC", 105000),
        ("grade 5", "1 1/8-12 UNF", 94000),
        ("grade 8", "5/8-11 UNC", 150000),
        ("grade 8", "1 1/8-12 UNF", 150000),
    ],
)
def test_inch_nuts_as_printed(grade: str, size: str, psi: float) -> None:
    found = nut(grade, read_thread(size))
    assert found is not None
    assert found.proof_stress == pytest.approx(psi * PSI, rel=1e-9)


@pytest.mark.parametrize("grade", ["5", "6", "8", "9", "10", "12"])
@pytest.mark.parametrize("size", ["M5", "M6", "M8", "M10x1.25", "M12", "M16"])
def test_a_nut_bears_more_than_the_proof_load_of_its_bolt(size: str, grade: str) -> None:
    # ISO 898-2:1992: the class is about a hundredth of what the nut bears (class 12:
    # 1150 MPa on small sizes), and the bolt that goes with it reaches its proof load first.
    thread = read_thread(size)
    found, bolt = nut(grade, thread), bolt_for(grade, thread)
    assert found is not None
    assert bolt is not None
    if found.proof_stress is None:
        assert (size, grade) == ("M10x1.25", "9")  # no fine thread in class 9
        return
    assert found.proof_stress > bolt.proof_stress
    assert found.proof_stress > 95 * float(grade)


def test_sizes_without_a_figure() -> None:
    found = nut("8", read_thread("M64"))
    assert found is not None
    assert found.proof_stress is None


# ISO 898-2:1992: bolts and the nut that goes with them; a handbook of bolt design has 8.8 with 8.
@pytest.mark.parametrize(
    ("bolt", "weakest"),
    [
        ("4.6", "5"),
        ("4.8", "5"),
        ("5.6", "5"),
        ("5.8", "5"),
        ("6.8", "6"),
        ("8.8", "8"),
        ("9.8", "9"),
        ("10.9", "10"),
        ("12.9", "12"),
    ],
)
def test_the_weakest_nut_that_goes_with_a_bolt(bolt: str, weakest: str) -> None:
    classes = ("5", "6", "8", "9", "10", "12")
    enough = [grade for grade in classes if goes_with(bolt, grade)]
    assert enough == list(classes[classes.index(weakest) :])


@pytest.mark.parametrize(
    ("bolt", "grade", "goes"),
    [
        ("grade 8", "grade 5", False),
        ("grade 8.2", "grade 8", True),
        ("grade 5", "grade 8", True),
        ("grade 1", "grade 2", True),
        ("A2-80", "A2-70", False),
        ("A2-70", "A4-80", True),
        ("4.6", "04", False),
        ("8.8", "05", False),
        ("unknown", "5", True),
        ("12.9", "unknown", True),
        ("12.9", "nonsense", True),
        ("8.8", "grade 2", True),
    ],
)
def test_which_nut_goes_with_which_bolt(bolt: str, grade: str, goes: bool) -> None:
    assert goes_with(bolt, grade) is goes


def test_the_bolt_that_a_nut_goes_with() -> None:
    assert bolt_for("8", M8) == strength("8.8", M8)
    assert bolt_for("10.9", M8) == strength("10.9", M8)
    assert bolt_for("A2-70", M8) == strength("A2-70", M8)
    quarter = read_thread("1/4-20 UNC")
    assert bolt_for("grade 8", quarter) == strength("grade 8", quarter)
    assert bolt_for("04", M8) is None
    assert bolt_for("unknown", M8) is None
    assert bolt_for("grade 8", M8) is None


def test_what_is_no_nut() -> None:
    assert nut("", M8) is None
    assert nut("unknown", M8) is None
    for written in ("7", "11", "80", "grade 9", "nonsense"):
        with pytest.raises(GradeError) as caught:
            nut(written, M8)
        assert caught.value.hint
