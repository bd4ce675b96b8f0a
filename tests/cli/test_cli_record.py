"""``procedures record``: a record against its page, for people and for programs."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from tests.cli.world import run
from tests.records.samples import changed_reading, complete

if TYPE_CHECKING:
    from pathlib import Path

SHOP = """
[[torque-wrench]]
id = "click-25"
name = "Click wrench 25 N·m"
range = "5–25 N·m"
deviation-class = "II A"
calibration-due = 2027-08-17

[[angle-gauge]]
id = "gauge"
name = "Gauge"
check-due = 2027-09-02
"""


@pytest.fixture
def shop(manual: Path) -> Path:
    """A manual without findings, whose shop has a wrench and a gauge."""
    (manual / "conf" / "shop.toml").write_text(SHOP, encoding="utf-8")
    return manual


def saved(folder: Path, value: dict[str, Any] | bytes) -> str:
    """Write a record file and return its name."""
    raw = value if isinstance(value, bytes) else json.dumps(value).encode()
    (folder / "job.json").write_bytes(raw)
    return "job.json"


def test_a_complete_record(shop: Path) -> None:
    result = run("record", saved(shop, complete()))
    assert result.exit_code == 0
    assert result.stdout == (
        "job.json: complete, 2 steps ticked, 3 readings: renew-cover revision A\n"
    )


def test_a_finding_names_its_place_and_what_to_do(shop: Path) -> None:
    result = run("record", saved(shop, changed_reading(0, value="89")))
    assert result.exit_code == 1
    first, hint, count = result.stdout.splitlines()
    assert first == (
        "job.json: $.readings[0].value: error: out-of-tolerance: Cover bolts, stage 2 in step 2: "
        "89 N·m was read, the page asks for 10 N·m (89 lbf·in)"
    )
    assert hint.startswith("    9.653–10.46 N·m would do")
    assert count == "1 finding in job.json"


def test_warnings_do_not_count(shop: Path) -> None:
    result = run("record", saved(shop, complete(digest="0123456789abcdef")))
    assert result.exit_code == 0
    assert "warning: page-changed" in result.stdout


def test_json_for_programs(shop: Path) -> None:
    result = run("record", saved(shop, complete(revision="B")), "--json")
    assert result.exit_code == 1
    value = json.loads(result.stdout)
    assert (value["format"], value["record"], value["procedure"]) == (1, "job.json", "renew-cover")
    (finding,) = value["findings"]
    assert (finding["path"], finding["check"], finding["level"]) == (
        "$.revision", "other-revision", "error",
    )  # fmt: skip
    assert json.loads(run("record", saved(shop, complete()), "--json").stdout)["findings"] == []


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (json.dumps(complete()).encode()[:100], "breaks off"),
        (b"\x00\xff" * 50, "not UTF-8"),
        (b"[" * 100_000, "breaks off or nested"),
        (b" " * 2_000_001, "more than 2,000,000 bytes"),
        (b"%PDF-1.7", "not JSON"),
    ],
)
def test_what_is_no_record_can_not_be_checked(shop: Path, content: bytes, said: str) -> None:
    result = run("record", saved(shop, content))
    assert result.exit_code == 2
    assert "job.json is no record: " in result.stderr
    assert any(part in result.stderr for part in said.split(" or "))


def test_control_characters_do_not_reach_the_terminal(shop: Path) -> None:
    result = run("record", saved(shop, changed_reading(0, wrench="\x1b[31mred", value="\x1b]0;")))
    assert result.exit_code == 1
    assert "\x1b" not in result.output
    assert "\\x1b" in result.output


def test_a_file_that_is_not_there(shop: Path) -> None:
    assert run("record", "none.json").exit_code == 2
