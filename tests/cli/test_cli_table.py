"""``procedures table``: three tables, three formats, and what it refuses."""

from __future__ import annotations

import csv
import io
import json
from typing import TYPE_CHECKING

import pytest

from tests.cli.world import UNREADABLE, run, undented, write
from tests.mule import VEHICLE

if TYPE_CHECKING:
    from pathlib import Path

SHOP = """
    [[torque-wrench]]
    id = "small"
    name = "Small wrench"
    range = "2–25 N·m"
    """


def test_text_in_columns(manual: Path) -> None:
    result = run("table", "tools", "renew-cover", "--when", "transmission=manual")
    assert result.exit_code == 0
    assert result.stdout == undented(
        """
        Tool list: Renew the cover (renew-cover, transmission=manual)

        Tool                         For          Steps
        ───────────────────────────  ───────────  ─────
        trim lever                                1
        10 mm socket                 Cover bolts  1, 2
        16 mm socket                 Side bolt    1, 2
        torque wrench for 89 lbf·in  Cover bolts  2
        torque wrench for 20–22 N·m  Side bolt    2
        angle gauge                  Side bolt    2
        """
    )


def test_a_record_a_joint_on_a_narrow_terminal(manual: Path) -> None:
    wide = run("table", "torque", "renew-cover").stdout
    assert wide.splitlines()[2].split()[:2] == ["Fastener", "Count"]
    narrow = run("table", "torque", "renew-cover", COLUMNS="60").stdout
    records = narrow.split("\n\n")[1:]
    assert [record.splitlines()[0] for record in records] == ["Cover bolts", "Side bolt"]
    assert "  Only for     transmission=manual" in records[1].splitlines()
    assert max(map(len, narrow.splitlines())) <= 60


@pytest.mark.parametrize(
    "words",
    [
        ["table", "torque", "renew-cover"],
        ["back-out", "renew-cover", "--at", "1"],
        ["joint", "M10", "12.9", "85 N·m", "--into", "aluminium", "--engagement", "1.5 mm"],
        ["wrench", "9 N·m", "--adapter", "40 mm", "--length", "300 mm"],
    ],
    ids=lambda words: words[0],
)
def test_text_fits_the_width_that_is_asked_for(manual: Path, words: list[str]) -> None:
    wrench = '[[torque-wrench]]\nid = "{0}"\nname = "Click wrench {0} N·m"\nrange = "{1} N·m"\n'
    shop = '[shop]\nname = "Test shop"\n' + wrench.format("ten", "2–10")
    write(manual, {"conf/shop.toml": shop + wrench.format("hundred", "20–100")})
    wide, narrow = (run(*words, "--width", width).stdout for width in ("1000", "60"))
    assert max(map(len, narrow.splitlines())) <= 60 < max(map(len, wide.splitlines()))
    assert set(wide.replace("─", "").split()) <= set(narrow.replace("─", "").split()) | {"Fastener"}


def test_csv_is_what_a_spreadsheet_reads(manual: Path) -> None:
    result = run("table", "torque", "renew-cover", "--format", "csv")
    assert result.exit_code == 0
    assert result.stdout_bytes.count(b"\r\n") == result.stdout_bytes.count(b"\n") == 3
    rows = list(csv.DictReader(io.StringIO(result.stdout_bytes.decode(), newline="")))
    assert [row["fastener"] for row in rows] == ["Cover bolts", "Side bolt"]
    # 89 lbf·in is 10.06 N·m, 20-22 N·m is 14.8-16.2 lbf·ft: factors of NIST SP 811, appendix B.8
    assert [row["N·m"] for row in rows] == ["hand, then 10 N·m", "20–22 N·m, then +1/6 turn"]
    assert [row["lbf·ft"] for row in rows][1].startswith("15–16 lbf·ft")


def test_json_names_procedure_table_and_cars(manual: Path) -> None:
    words = ("--when", "transmission=manual", "--format", "json")
    value = json.loads(run("table", "torque", "renew-cover", *words).stdout)
    assert {key: value[key] for key in value if key != "rows"} == {
        "format": 2,
        "procedure": "renew-cover",
        "table": "torque",
        "when": "transmission=manual",
    }
    assert [row["id"] for row in value["rows"]] == ["cover-bolts", "side-bolt"]
    amount = {"text": "20–22 N·m", "unit": "N·m", "value": None, "low": 20, "high": 22}
    angle = {"text": "1/6 turn", "unit": "turn", "value": "1/6", "low": "1/6", "high": "1/6"}
    torque = {"low": 20, "high": 22}
    plain: dict[str, object] = {"mm": None, "share": None, "words": "", "only": []}
    assert value["rows"][1]["stages"] == [
        {"kind": "torque", "text": "20–22 N·m", "amount": amount, "N_m": torque, "degrees": None,
         "fully": False, **plain, "order": []},
        {"kind": "angle", "text": "+1/6 turn", "amount": angle, "N_m": None, "degrees": 60,
         "fully": False, **plain, "order": []},
    ]  # fmt: skip


def test_the_wrenches_are_the_shops_own(manual: Path) -> None:
    write(manual, {"conf/shop.toml": SHOP})
    tools = json.loads(run("table", "tools", "renew-cover", "--format", "json").stdout)
    assert "Small wrench" in [row["tool"] for row in tools["rows"]]


def test_the_parts_list(manual: Path) -> None:
    parts = json.loads(run("table", "parts", "renew-cover", "--format", "json").stdout)
    assert {row["name"] for row in parts["rows"]} == {"Cover bolts", "Side bolt", "Top cover"}


def test_conditions_add_up(manual: Path) -> None:
    words = ("--when", "transmission=manual", "--when", "not transmission=automatic")
    value = json.loads(run("table", "parts", "renew-cover", *words, "--format", "json").stdout)
    assert value["when"] == "transmission=manual and not transmission=automatic"


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("torque", "renew-covr"), "did you mean `renew-cover`?"),
        (("torqe", "renew-cover"), "'torque', 'parts', 'tools'"),
        (("torque",), "Missing argument"),
        (("torque", "renew-cover", "--format", "xml"), "'text', 'csv', 'json'"),
    ],
)
def test_words_that_mean_nothing_are_refused(
    manual: Path, words: tuple[str, ...], message: str
) -> None:
    result = run("table", *words)
    assert (result.exit_code, result.stdout) == (2, "")
    assert message in result.stderr


@pytest.mark.parametrize(
    ("condition", "message"),
    [
        ("transmision=manual", "no option `transmision`: did you mean `transmission`?"),
        ("transmission=manul", "`transmission` is never `manul`: did you mean `manual`?"),
        ("transmission", "stands alone"),
        ("transmission=manual and transmission=automatic", "no car meets"),
        ("engine in [v6, v8]", "no option `engine`"),
    ],
)
def test_a_condition_that_no_car_meets_is_refused_with_the_options(
    manual: Path, condition: str, message: str
) -> None:
    result = run("table", "torque", "renew-cover", "--when", condition)
    assert (result.exit_code, result.stdout) == (2, "")
    assert message in result.stderr
    assert result.stderr.endswith("Workshop mule:\n  transmission: manual, automatic\n")


def test_a_car_without_options_says_so(manual: Path) -> None:
    plain = VEHICLE.replace("    options:\n      transmission: [manual, automatic]\n", "")
    plain = plain.replace("      when: transmission=manual\n", "")
    write(manual, {"docs/vehicles/mule.md": plain})
    result = run("table", "torque", "renew-cover", "--when", "transmission=manual")
    assert result.exit_code == 2
    assert result.stderr.endswith("Workshop mule has no options.\n")


def test_a_table_drawn_from_pages_with_errors_is_printed_with_a_warning(manual: Path) -> None:
    broken = VEHICLE.replace("tighten: [hand, 89 lbf·in]", "tighten: [hand, 89 pounds]")
    write(manual, {"docs/vehicles/mule.md": broken})
    result = run("table", "torque", "renew-cover", "--format", "csv")
    assert result.exit_code == 1
    assert "Side bolt" in result.stdout
    assert "it may lack a row" in result.stderr
    assert "`procedures check docs/vehicles/mule.md`" in result.stderr


def test_errors_on_other_pages_do_not_matter(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE})
    result = run("table", "torque", "renew-cover")
    assert (result.exit_code, result.stderr) == (0, "")


def test_an_error_in_the_shop_file_does(manual: Path) -> None:
    write(manual, {"conf/shop.toml": SHOP.replace("range", "rnge")})
    result = run("table", "tools", "renew-cover")
    assert result.exit_code == 1
    assert "conf/shop.toml" in result.stderr
