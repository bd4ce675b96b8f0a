"""``procedures order``: a proposal for a layout, or for a group of fasteners."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.world import run, write
from tests.tightening.layouts import star_table

CAR = """
    # Car

    ```{vehicle} car
    name: Car
    ```

    ```{fasteners}
    rail-bolts:
      kind: bolt
      count: 4
      positions: {one: [0, 0], two: [90, 0], three: [180, 0], four: [270, 0]}
    plain-bolts: {kind: bolt, count: 4}
    ```
    """


@pytest.fixture
def car(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(tmp_path, {"docs/car.md": CAR, "conf/conf.py": ""})
    monkeypatch.chdir(tmp_path)


@pytest.mark.usefixtures("car")
@pytest.mark.parametrize(("count", "order"), star_table().items())
def test_a_circle_as_the_table_has_it(count: int, order: tuple[str, ...]) -> None:
    # ASME PCC-1, legacy cross pattern: tests/tightening/pcc1_sequences.csv
    result = run("order", "circle", str(count))
    assert result.stdout == f"cross: {', '.join(order)}\nNumbered clockwise.\n"


@pytest.mark.usefixtures("car")
@pytest.mark.parametrize(("layout", "count"), [("row", 7), ("two-rows", 10), ("circle", 200)])
def test_other_layouts_name_every_number_once(layout: str, count: int) -> None:
    value = json.loads(run("order", layout, str(count), "--json").stdout)
    assert value["pattern"] == ("cross" if layout == "circle" else "centre-out")
    assert sorted(map(int, value["order"])) == list(range(1, count + 1))


@pytest.mark.usefixtures("car")
def test_a_group_of_the_manual() -> None:
    result = run("order", "car", "rail-bolts")
    assert (result.exit_code, result.stdout) == (0, "centre-out: two, three, one, four\n")


@pytest.mark.usefixtures("car")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("cra", "rail-bolts"), "there is no page or layout `cra`"),
        (("car", "rail-bolt"), "did you mean `rail-bolts`?"),
        (("car", "plain-bolts"), "give each a place, `name: [x, y]`, in mm"),
        (("circle", "0"), "a number from 1 to 1000"),
        (("circle", "many"), "a number from 1 to 1000"),
        (("circle", "1001"), "a number from 1 to 1000"),
        (("two-rows", "9"), "two rows want an even number"),
        (("circle",), "Missing argument"),
    ],
)
def test_what_is_not_there_is_refused(words: tuple[str, ...], said: str) -> None:
    result = run("order", *words)
    assert result.exit_code == 2
    assert said in result.stderr
