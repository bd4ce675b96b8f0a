"""Pull files: every form they come in, and every way in which they are wrong."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.engineering.dyno.pull import Pull, PullError
from procedures_lib.engineering.dyno.pull_csv import read_pull
from procedures_lib.engineering.quantities.units import factor_between

ROWS = [(2000 + 500 * n, 150.0 + 10 * n) for n in range(9)]


def file_of(header: str, rows: list[str]) -> list[str]:
    return [f"{line}\n" for line in (header, *rows)]


def read(header: str, rows: list[str]) -> Pull:
    return read_pull(file_of(header, rows))[0]


def plain_rows() -> list[str]:
    return [f"{rpm},{n_m}" for rpm, n_m in ROWS]


def test_speed_and_torque() -> None:
    pull = read("speed [rpm],torque [N·m]", plain_rows())
    assert list(pull.speed) == [rpm for rpm, _ in ROWS]
    assert list(pull.torque) == [n_m for _, n_m in ROWS]
    assert pull.power[0] == pytest.approx(150 * 2000 / 9549.2966)  # by definition of kW


@pytest.mark.parametrize("unit", ["kW", "hp", "PS"])
def test_power_in_any_unit(unit: str) -> None:
    factor = factor_between(unit, "kW")
    rows = [f"{rpm},{rpm * n_m / 9549.296585513720 / factor:.9f}" for rpm, n_m in ROWS]
    pull = read(f"speed [rpm],power [{unit}]", rows)
    assert list(pull.torque) == pytest.approx([n_m for _, n_m in ROWS], rel=1e-8)


@pytest.mark.parametrize("unit", ["N·m", "Nm", "lbf·ft", "ft-lb", "lbf·in", "kgf·m"])
def test_torque_in_any_unit(unit: str) -> None:
    factor = factor_between(unit, "N·m")
    pull = read(f"torque [{unit}],speed [rpm]", [f"{n_m / factor:.9f},{rpm}" for rpm, n_m in ROWS])
    assert list(pull.torque) == pytest.approx([n_m for _, n_m in ROWS], rel=1e-8)


@pytest.mark.parametrize(
    ("header", "row"),
    [
        ("\ufeffspeed [rpm],torque [N·m]", "{rpm},{n_m}"),
        ("Speed (rpm), Torque (N·m)", "{rpm} , {n_m}"),
        ('"speed [rpm]","torque [N·m]"', '"{rpm}","{n_m}"'),
        ("torque [N·m];speed [1/min]", "{comma};{rpm}"),
        ("speed [rpm]\ttorque [N·m]", "{rpm}\t{comma}"),
        ("time [s],boost [kPa],speed [rpm],lambda,torque [N·m]", "0.1,,{rpm},x,{n_m}"),
        ("speed [rpm];torque [N·m]", "{rpm};{n_m}\n"),
    ],
)
def test_forms(header: str, row: str) -> None:
    rows = [row.format(rpm=r, n_m=t, comma=str(t).replace(".", ",")) for r, t in ROWS]
    pull = read(header, rows)
    assert list(pull.speed) == [rpm for rpm, _ in ROWS]
    assert list(pull.torque) == [n_m for _, n_m in ROWS]


BAD = {
    "empty": ("", [], 1, "the file is empty", "speed [rpm]"),
    "one row": ("speed [rpm],torque [N·m]", ["2000,150"], 2, "at least 5 rows, this has 1", ""),
    "no rows": ("speed [rpm],torque [N·m]", [], 1, "at least 5 rows, this has 0", ""),
    "no unit": ("speed [rpm],torque", plain_rows(), 1, "`torque` has no unit", "torque [N·m]"),
    "speed without unit": ("speed,torque [N·m]", plain_rows(), 1, "`speed` has no unit", "[rpm]"),
    "no header": ("2000,150", plain_rows(), 1, "no column for speed", "speed [rpm]"),
    "no torque": ("speed [rpm],boost [kPa]", plain_rows(), 1, "no column for torque or power", ""),
    "misspelt": ("sped [rpm],torque [N·m]", plain_rows(), 1, "no column for speed", "did you mean"),
    "unit of another kind": (
        "speed [km/h],torque [N·m]", plain_rows(), 1, "a speed of rotation is wanted", "rpm",
    ),
    "ambiguous": ("speed [rpm],torque [lb]", plain_rows(), 1, "did you mean 1 lbf·ft", "lbf·ft"),
    "twice": ("speed [rpm],torque [N·m],torque [N·m]", [], 1, "two columns for torque", ""),
    "text": ("speed [rpm],torque [N·m]", ["2000,150", "2100,high"], 3, "`high` is no number", ""),
    "unit in a cell": ("speed [rpm],torque [N·m]", ["2000,150 N·m"], 2, "no number", "header"),
    "empty cell": ("speed [rpm],torque [N·m]", ["2000,150", "2100,"], 3, "torque is empty", ""),
    "nan": ("speed [rpm],torque [N·m]", ["2000,150", "nan,150"], 3, "`nan` is no number", ""),
    "inf": ("speed [rpm],torque [N·m]", ["2000,150", "2100,inf"], 3, "`inf` is no number", ""),
    "underscore": ("speed [rpm],torque [N·m]", ["2_000,150"], 2, "`2_000` is no number", ""),
    "thousands": ("speed [rpm];torque [N·m]", ["2.000,5;150"], 2, "`2.000,5` is no number", ""),
    "short row": ("speed [rpm],torque [N·m]", ["2000,150", "2100"], 3, "1 cells", "as many"),
    "decimal comma in a comma file": (
        "speed [rpm],torque [N·m]", ["2000,0,150,5"], 2, "4 cells", "semicolons",
    ),
    "NUL": ("speed [rpm],torque [N·m]", ["2000,150\0"], 2, "NUL bytes", "UTF-8"),
    "falling": (
        "speed [rpm],torque [N·m]", plain_rows()[::-1], 3, "the speed does not rise", "one pull",
    ),
    "standing": (
        "speed [rpm],torque [N·m]", ["3000,150"] * 9, 3, "the speed does not rise", "one pull",
    ),
    "two pulls": (
        "speed [rpm],torque [N·m]",
        [*plain_rows(), "3500,170", *(f"{rpm},150" for rpm in range(4050, 6500, 200))],
        11, "the speed does not rise: 6000 rpm on line 10, 3500 rpm here", "one pull",
    ),
    "too slow": (
        "speed [rpm],torque [N·m]", [f"{n},100" for n in range(1, 20)], 20, "19 rpm", "decimal",
    ),
    "too fast": (
        "speed [rpm],torque [N·m]", [f"{n},100" for n in range(40000, 90000, 5000)], 11, "85000",
        "unit",
    ),
    "no power in the middle": (
        "speed [rpm],torque [N·m]", [f"{r},{-1 if r == 4000 else t}" for r, t in ROWS], 6,
        "no power in the middle", "one pull",
    ),
    "no power at all": (
        "speed [rpm],torque [N·m]", [f"{rpm},0" for rpm, _ in ROWS], 10, "over enough rows", "",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_what_is_wrong_is_told_with_its_line(name: str) -> None:
    header, rows, line, said, hint = BAD[name]
    with pytest.raises(PullError) as caught:
        read(header, rows)
    assert said in caught.value.message
    assert caught.value.line == line
    assert caught.value.hint
    assert hint in caught.value.hint


def refusal_of(lines: list[str]) -> PullError | None:
    try:
        read_pull(lines)
    except PullError as error:
        return error
    return None


CELLS = st.text('0123456789.,;-+eE[]()\t" \nspdtorqueNmrk·', max_size=12)


@given(st.lists(CELLS, max_size=12))
def test_whatever_stands_in_a_file_it_is_read_or_refused(cells: list[str]) -> None:
    for header in ("speed [rpm],torque [N·m]\n", "power [kW];speed [rpm]\n", ""):
        text = header + "".join(f"{cell}\n" for cell in cells)
        refused = refusal_of(text.splitlines(keepends=True))
        assert refused is None or (refused.line >= 1 and refused.message and refused.hint)


@given(st.lists(st.tuples(st.floats(-1e4, 1e5), st.floats(-1e3, 1e4)), max_size=30))
def test_whatever_numbers_it_holds_a_pull_rises(rows: list[tuple[float, float]]) -> None:
    try:
        pull = read("speed [rpm],torque [N·m]", [f"{rpm},{n_m}" for rpm, n_m in rows])
    except PullError:
        return
    assert list(pull.speed) == sorted(set(pull.speed))
    assert min(pull.torque) > 0


def test_a_byte_that_is_not_utf_8_is_told_with_its_line() -> None:
    raw = b"speed [rpm],torque [Nm]\n2000,150\n2100,15\xb7\n"
    with pytest.raises(PullError, match="not UTF-8") as caught:
        read_pull(line.decode() for line in raw.splitlines(keepends=True))
    assert caught.value.line == 3


@pytest.mark.parametrize("header", ["speed [rpm],\rtorque [N·m]", f"speed [rpm],{'x' * 200_000}"])
def test_a_header_that_is_no_csv(header: str) -> None:
    with pytest.raises(PullError, match="no CSV") as caught:
        read_pull(["\n", header])
    assert caught.value.line == 2


def test_an_endless_cell_is_no_csv() -> None:
    with pytest.raises(PullError, match="no CSV") as caught:
        read("speed [rpm],torque [N·m]", ['2000,"150', *["9" * 1000] * 200])
    assert caught.value.line > 1


def test_lines_are_read_one_after_another() -> None:
    """A bad line ends the reading: nothing behind it is asked for."""
    asked = []

    def lines() -> object:
        yield "speed [rpm],torque [N·m]\n"
        for n in range(1_000_000):
            asked.append(n)
            yield "2000,150\n" if n < 10 else "2000,bad\n"

    with pytest.raises(PullError):
        read_pull(lines())  # type: ignore[arg-type]
    assert len(asked) == 11


def test_a_file_of_many_rows_is_read_whole() -> None:
    rows = (f"{1500 + n * 0.02:.2f},{200 + n % 7}\n" for n in range(200_000))
    pull, _ = read_pull(line for part in (["speed [rpm],torque [N·m]\n"], rows) for line in part)
    assert len(pull.speed) == 200_000
    assert pull.speed[-1] == pytest.approx(5499.98)
