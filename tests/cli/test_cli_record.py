"""``procedures record``: a record against its page, for people and for programs."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from tests.cli.world import run
from tests.records.samples import changed_reading, complete
from tests.records.test_remarks import jpeg, picture, remark

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
        (b'"' + b"A" * 8_000_000, "more than 8,000,000 bytes"),
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


def test_remarks_are_printed_for_the_writer(shop: Path) -> None:
    remarks = [
        remark(picture=picture(jpeg())),
        remark(step=1, kind="slow", text="", at=""),
        remark(step=9, kind="unclear", text="which one?"),
    ]
    result = run("record", saved(shop, complete(remarks=remarks)))
    assert result.exit_code == 1  # there is no step 9
    assert result.stdout.splitlines()[-3:] == [
        "job.json: remark on step 2 (Put the cover on): wrong: It is the left one "
        "[2026-11-25 14:05, photograph of 40 × 30]",
        "job.json: remark on step 1 (Take the cover off): took longer",
        "job.json: remark on step 9: unclear: which one? [2026-11-25 14:05]",
    ]
    value = json.loads(run("record", saved(shop, complete(remarks=remarks)), "--json").stdout)
    assert value["remarks"][0] == {
        "step": 2, "kind": "wrong", "text": "It is the left one",
        "at": "2026-11-25T14:05:00+01:00", "photograph": {"width": 40, "height": 30},
    }  # fmt: skip
    assert value["remarks"][1]["photograph"] is None


def test_a_remark_of_another_revision_is_printed_without_the_title(shop: Path) -> None:
    result = run("record", saved(shop, complete(revision="B", remarks=[remark(at="")])))
    assert result.stdout.endswith("job.json: remark on step 2: wrong: It is the left one\n")


HOSTILE = "\x1b]0;owned\x07\r\n=cmd()\u202e<script>alert(1)</script>"


def test_text_of_a_remark_can_not_steer_the_terminal(shop: Path) -> None:
    remarks = [remark(text=HOSTILE, kind="\x1b[31m", picture={"type": "\x1b[31m"})]
    result = run("record", saved(shop, complete(remarks=remarks)))
    assert not any(sign in result.output for sign in "\x1b\x07\r\u202e")
    assert "\\x1b]0;owned\\x07" in result.output
    lines = result.stdout.splitlines()
    assert all(line.startswith(("job.json: ", "    ", "2 findings in")) for line in lines)


def test_photographs_are_written_and_write_over_nothing(shop: Path) -> None:
    folder = shop / "seen"
    folder.mkdir()
    first, second = jpeg(), jpeg(8, 8)
    remarks = [
        remark(picture=picture(first)),
        remark(picture=picture(second)),
        remark(kind="../../x", picture=picture(first)),
        remark(kind="slow", picture=picture(b"<svg>")),
        remark(kind="slow"),
    ]
    name = saved(shop, complete(remarks=remarks))
    for _ in range(2):  # the same once more is no harm
        result = run("record", name, "--photographs", "seen")
        assert "job.json: written: seen/job-step-2-wrong.jpg\n" in result.stdout
        files = {path.name: path.read_bytes() for path in folder.iterdir()}
        assert files == {
            "job-step-2-wrong.jpg": first,
            "job-step-2-wrong-2.jpg": second,
            "job-step-2-remark.jpg": first,
        }
    (folder / "job-step-2-wrong.jpg").write_bytes(b"mine")
    result = run("record", name, "--photographs", "seen")
    assert result.exit_code == 2
    assert "seen/job-step-2-wrong.jpg is there already" in result.stderr
    assert (folder / "job-step-2-wrong.jpg").read_bytes() == b"mine"
    assert run("record", name, "--photographs", "nowhere").exit_code == 2
