"""Thread strip against FED-STD-H28/2B, ISO/TR 16224 and printed tables."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from screw_thread_lib import C2_ISO, C3_ISO, Assembly
from screw_thread_lib.data import ASME_UN_2A2B_dict

from procedures_lib.data_tables import csv_rows
from procedures_lib.engineering.threads import dimensions, read_thread, strength
from procedures_lib.engineering.threads.dimensions import limits
from procedures_lib.engineering.threads.thread_strip import (
    BENDING,
    BOLT_BENDING,
    external_areas,
    hole_material,
    internal_areas,
    internal_shear_area,
    strip_load,
)
from tests.threads.reading import label, rows

INCH_SIZES = [size for size in ASME_UN_2A2B_dict if size != "1-14"]  # a UNS thread: 9 P engaged


def inch(size: str) -> str:
    """The library writes a numbered size without its sign."""
    return f"#{size}" if size.startswith("10-") else size


@pytest.mark.parametrize("size", INCH_SIZES)
def test_inch_limits_as_printed(size: str) -> None:
    # ASME B1.1-2019, limits of size 2A and 2B, as tabulated in screw-thread-lib; in inches. The
    # minor diameter is printed to 0.001 in, the others to 0.0001 in.
    printed, found = ASME_UN_2A2B_dict[size], limits(read_thread(inch(size)))
    assert found.least_major / 25.4 == pytest.approx(printed["dmin"], abs=1e-4)
    assert found.least_pitch / 25.4 == pytest.approx(printed["d2min"], abs=1e-4)
    assert found.greatest_pitch / 25.4 == pytest.approx(printed["D2max"], abs=1e-4)
    assert found.greatest_minor / 25.4 == pytest.approx(printed["D1max"], abs=6e-4)


# ISO 965-2, limits 6g: least major and pitch diameters, as printed in ASME B1.13M tables (mm).
@pytest.mark.parametrize(
    ("size", "major", "pitch"),
    [("M2", 1.886, 1.654), ("M3", 2.874, 2.580), ("M4", 3.838, 3.433), ("M5", 4.826, 4.361)],
)
def test_metric_limits_as_printed(size: str, major: float, pitch: float) -> None:
    found = limits(read_thread(size))
    assert found.least_major == pytest.approx(major, abs=0.005)
    assert found.least_pitch == pytest.approx(pitch, abs=0.005)


@pytest.mark.parametrize("row", rows("shear_areas.csv"), ids=label)
def test_least_metric_areas_as_printed(row: dict[str, str]) -> None:
    # The standard rounds its tolerances to preferred numbers: hence up to 0.7 % on the area.
    thread = read_thread(row["designation"])
    engaged = float(thread.diameter)
    assert external_areas(thread)[0] * engaged == pytest.approx(
        float(row["external_mm2"]), rel=0.008
    )
    assert internal_areas(thread)[0] * engaged == pytest.approx(
        float(row["internal_mm2"]), rel=0.008
    )


@pytest.mark.parametrize("size", INCH_SIZES)
def test_areas_of_a_second_library(size: str) -> None:
    # screw-thread-lib: FED-STD-H28/2B, formulas 2a, 4a (least) and 6b (basic); in²/in.
    theirs, thread = Assembly.from_ASME_B11_UN_2A2B(size), read_thread(inch(size))
    external, internal = external_areas(thread), internal_areas(thread)
    assert external[0] / 25.4 == pytest.approx(theirs.ASs_min_FEDSTD_4a(), rel=0.01)
    assert internal[0] / 25.4 == pytest.approx(theirs.ASn_min_FEDSTD_2a(), rel=0.002)
    assert external[1] / 25.4 == pytest.approx(theirs.ASs_max_FEDSTD_6b(), rel=1e-9)
    assert internal[1] / 25.4 == pytest.approx(theirs.ASn_ISO(), rel=1e-9)


@pytest.mark.parametrize("row", rows("engaged_lengths.csv"), ids=label)
def test_least_engaged_lengths_as_printed(row: dict[str, str]) -> None:
    # Twice the stress area over the least area that shears, for equal strengths; some rows are
    # printed to 0.01 in.
    thread = read_thread(row["designation"])
    length = 2 * dimensions(thread).stress_area / external_areas(thread)[0] / 25.4
    assert length == pytest.approx(float(row["length_in"]), rel=0.012, abs=0.005)


def test_a_worked_example_in_aluminium() -> None:
    # A handbook's example (chapter of 2001): M10x1.5, 69 600 N, 130 MPa in shear, major diameter
    # 9.968 mm, pitch diameter of the nut 9.206 mm: 21.6 mm engaged.
    area = internal_shear_area(1.5, 9.968, 9.206)
    assert 69600 / (area * 130) == pytest.approx(21.6, abs=0.06)


def test_the_bending_of_turns_stays_between_the_bounds() -> None:
    # screw-thread-lib: ISO/TR 16224:2012, 4.2.3, C2 and C3 over the ratios of strength.
    ratios = [0.41 + step / 100 for step in range(178)]
    nut_side = [C3_ISO(ratio) for ratio in ratios]
    bolt_side = [C2_ISO(ratio) for ratio in ratios]
    # The standard's curve dips to 0.8965 just above 1.
    assert min(nut_side) == pytest.approx(BENDING[0], abs=0.001)
    assert max(nut_side) == pytest.approx(BENDING[1], abs=0.003)
    assert min(bolt_side) == pytest.approx(BOLT_BENDING[0], abs=0.001)
    assert max(bolt_side) == pytest.approx(BOLT_BENDING[1], abs=0.02)


# A fastener handbook's engaged lengths for cut threads 6g/6H from trials, M6 to M16, in diameters:
# what holds the bolt's proof load there must not be below the least strip load here.
@pytest.mark.parametrize(
    ("grade", "material", "diameters"),
    [
        ("8.8", "steel", 1.0),
        ("10.9", "steel", 1.25),
        ("12.9", "steel", 1.4),
        ("8.8", "grey cast iron", 1.25),
        ("10.9", "grey cast iron", 1.4),
    ],
)
@pytest.mark.parametrize("size", ["M6", "M8", "M10", "M12", "M16"])
def test_recommended_lengths_hold_the_proof_load(
    size: str, grade: str, material: str, diameters: float
) -> None:
    thread = read_thread(size)
    bolt = strength(grade, thread)
    assert bolt is not None
    found = strip_load(thread, diameters * float(thread.diameter), material, bolt)
    assert found is not None
    assert found.high > bolt.proof_stress * dimensions(thread).stress_area
    assert found.low > 0.75 * bolt.proof_stress * dimensions(thread).stress_area


def test_the_weaker_thread_gives_way() -> None:
    thread = read_thread("M8")
    soft = strength("4.6", thread)
    alone, with_bolt = strip_load(thread, 10, "steel"), strip_load(thread, 10, "steel", soft)
    assert alone is not None
    assert with_bolt is not None
    assert with_bolt.high < alone.high


def test_a_material_not_in_the_table_is_not_judged() -> None:
    assert strip_load(read_thread("M8"), 10, "oak") is None
    assert strip_load(read_thread("M8"), 10, "") is None


def test_a_length_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="must be more than 0"):
        strip_load(read_thread("M8"), 0, "steel")


def test_less_than_a_turn_may_bear_nothing() -> None:
    found = strip_load(read_thread("M8"), 0.5, "steel")
    assert found is not None
    assert found.low == 0
    assert found.high > 0


def test_materials_by_every_spelling() -> None:
    for row in csv_rows("procedures_lib.engineering.threads", "hole_materials.csv"):
        for spelling in (row["material"], *filter(None, row["spellings"].split("; "))):
            found = hole_material(spelling.upper())
            assert found is not None
            assert found.name == row["material"]
            assert 0 < found.shear_low < found.shear_high
            assert found.source


def test_the_range_of_each_material_holds_published_alloys() -> None:
    # Shear strength of castings: 356.0-T6 sand 179 MPa, permanent mould 221 MPa, A357.0-T6 296 MPa
    # (Materials for Civil and Construction Engineers, table 4.6); zinc alloys 214 and 317 MPa (a
    # die caster's table); AZ81A 91 to 130 MPa (material tables).
    published = {
        "aluminium": (179, 221, 296),
        "cast aluminium": (179, 221, 296),
        "zinc": (214, 317),
        "magnesium": (91, 130),
    }
    for name, values in published.items():
        material = hole_material(name)
        assert material is not None
        assert all(material.shear_low <= value <= material.shear_high for value in values)


lengths = st.floats(min_value=1, max_value=60)


@given(lengths, st.sampled_from(["M5", "M8x1", "M12", "1/4-20 UNC", "1/2-20 UNF"]))
def test_the_strip_load_rises_with_the_length(length: float, size: str) -> None:
    thread = read_thread(size)
    short = strip_load(thread, length, "aluminium")
    longer = strip_load(thread, length * 1.5, "aluminium")
    assert short is not None
    assert longer is not None
    assert short.low <= short.high
    assert longer.low > short.low or short.low == 0
    assert longer.high > short.high


listed_sizes = st.one_of(
    st.sampled_from(csv_rows("procedures_lib.engineering.threads", "metric_sizes.csv")).map(
        lambda row: f"M{row['diameter_mm']}x{row['pitch_mm']}"
    ),
    st.sampled_from(csv_rows("procedures_lib.engineering.threads", "inch_sizes.csv")).map(
        lambda row: f"{row['diameter_in']}-{row['threads_per_inch']} {row['series']}"
    ),
)


@given(listed_sizes)
def test_every_listed_size_is_read_and_overlaps(size: str) -> None:
    thread = read_thread(size)
    assert dimensions(thread).listed
    for least, basic in (internal_areas(thread), external_areas(thread)):
        assert 0 < least < basic
