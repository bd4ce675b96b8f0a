"""``procedures archive``: records in, found, shown, doubted, forgotten; faults told."""

from __future__ import annotations

import json
import multiprocessing
import os
import re
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from procedures_lib.fronts.cli.publishing.disk import ARRIVING
from tests.cli.repository import commit_all
from tests.cli.world import run
from tests.records.samples import AT, complete, reading

if TYPE_CHECKING:
    from click.testing import Result

KEEP = '[shop]\nname = "Shop"\n\n[archive]\nregistration = "keep"\ninitials = true\n'
REMARK = {"step": 2, "kind": "unclear", "text": "which side first", "at": AT}


def job(**changed: Any) -> dict[str, Any]:
    """A complete record with all that the page saves."""
    more = {"vehicle": "mule", "reference": "HL 26-118", "begun": AT, "saved": AT, "set_aside": []}
    return {**complete(), **more, **changed}


def saved(folder: Path, value: dict[str, Any] | bytes, name: str = "job.json") -> str:
    """Write a record file and return its name."""
    raw = value if isinstance(value, bytes) else json.dumps(value).encode()
    (folder / name).write_bytes(raw)
    return name


def add(folder: Path, *values: dict[str, Any] | bytes) -> Result:
    """Add records to the archive of the manual in this folder."""
    names = [saved(folder, value, f"job-{n}.json") for n, value in enumerate(values)]
    return run("archive", "add", *names)


def jobs(folder: Path) -> list[Path]:
    return sorted((folder / "archive").glob("jobs/*/*/*.json"))


def found(*words: str) -> list[dict[str, Any]]:
    result = run("archive", "find", *words, "--format", "json")
    assert result.exit_code == 0, result.output
    rows: list[dict[str, Any]] = json.loads(result.stdout)["jobs"]
    return rows


def sound() -> str:
    return run("archive", "check").stdout


# -- in and out --------------------------------------------------------------------------------


def test_a_record_is_a_file_named_by_date_car_and_job(manual: Path) -> None:
    result = add(manual, job())
    assert result.exit_code == 0
    (path,) = jobs(manual)
    assert re.fullmatch(r"2026-11-25_mule_renew-cover_[0-9a-f]{12}\.json", path.name)
    assert path.parent == manual / "archive/jobs/2026/11"
    assert result.stdout == f"job-0.json: added as {path.stem}\n"
    assert sound() == "1 record, no findings\n"


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("--car", "mule"),
        ("--registration", "hl26 118"),
        ("--procedure", "renew-cover"),
        ("--revision", "A"),
        ("--since", "2026-11-25", "--until", "2026-11-25"),
        ("--remark", "which SIDE"),
        ("--remark", "unclear"),
    ],
)
def test_it_is_found(manual: Path, words: tuple[str, ...]) -> None:
    other = job(vehicle="ox", reference="XX 1", procedure="other", revision="B",
                begun="2024-01-01T08:00:00Z")  # fmt: skip
    add(manual, job(remarks=[REMARK]), other)
    expected = 1 if words else 2
    assert [row["vehicle"] for row in found(*words)][-1] == "mule"
    assert len(found(*words)) == expected


def test_a_kit_is_found_by_the_sheet_of_the_day(manual: Path) -> None:
    page = manual / "docs/kits/lid.md"
    page.parent.mkdir()
    page.write_text("# Lid\n\n```{kit} lid-1\nname: Lid\nfits: {vehicle: mule}\ncontents: "
                    "[{supply: Tie, number: L-1}]\n```\n")  # fmt: skip
    work = manual / "docs/procedures/renew-cover.md"
    work.write_text(work.read_text().replace("vehicle: mule", "vehicle: mule\nkit: lid-1"))
    assert add(manual, job()).exit_code == 0
    assert len(found("--kit", "lid-1")) == 1
    assert "there is no kit `lid-2`" in run("archive", "find", "--kit", "lid-2").stderr


def test_what_a_search_may_not_match_is_no_pattern(manual: Path) -> None:
    add(manual, job(remarks=[REMARK]))
    assert found("--remark", "%") == []
    assert found("--remark", "wh_ch") == []


def test_a_list_as_text_and_csv(manual: Path) -> None:
    add(manual, job(remarks=[REMARK]))
    text = run("archive", "find").stdout
    assert "mule, transmission=manual" in text
    assert "unclear 2: which side first" in text
    assert text.endswith("\n1 record\n")
    assert run("archive", "find", "--format", "csv").stdout.startswith("day,procedure,revision")
    none = run("archive", "find", "--since", "2027-01-01")
    assert (none.exit_code, none.stdout) == (0, "No record is like that.\n")


def test_the_sheet_as_it_was_done(manual: Path) -> None:
    add(manual, job(remarks=[REMARK]))
    (path,) = jobs(manual)
    lines = run("archive", "show", path.stem).stdout.splitlines()
    assert lines[0] == "renew-cover revision A: Renew the cover"
    assert lines[1] == "Car: mule, transmission=manual"
    assert lines[2].startswith("Registration: not kept, its hash is ")
    assert "   1  2026-11-25 14:05  Take the cover off" in lines
    readings = [line.strip() for line in lines if "Cover bolts" in line]
    assert readings == [
        "Cover bolts, stage 2: 10 N·m read, 10 N·m (89 lbf·in) wanted, 9.45–10.7 N·m would do "
        "(click-25, person 1, 14:05)"
    ]
    assert lines[-1].strip() == "Remark, unclear: which side first"


def test_the_sheet_stays_when_the_page_changes(manual: Path) -> None:
    add(manual, job())
    page = manual / "docs/procedures/renew-cover.md"
    page.write_text(page.read_text().replace("Take the cover off", "Lift the lid"))
    (path,) = jobs(manual)
    shown = run("archive", "show", path.stem[:20], "--words").stdout
    assert "Take the cover off" in shown
    assert "remove cover-bolts, side-bolt, cover" in shown
    assert "Lift it off." in shown
    assert json.loads(run("archive", "show", path.stem, "--json").stdout)["sheet"]["title"]


def test_sheets_of_an_older_state_are_kept(manual: Path) -> None:
    commit_all(manual)
    page = manual / "docs/procedures/renew-cover.md"
    page.write_text(page.read_text().replace("revision: A", "revision: B").replace("Lift", "Heave"))
    result = add(manual, job())
    assert "the record is of revision A, the page is B: `procedures archive sheets" in result.stdout
    (path,) = jobs(manual)
    assert "is not kept: the record alone is shown" in run("archive", "show", path.stem).stdout
    assert run("archive", "sheets", "HEAD").stdout == "HEAD: 1 sheet, 1 of them new\n"
    assert "Take the cover off" in run("archive", "show", path.stem).stdout
    assert run("archive", "sheets").stdout == "the pages now: 1 sheet, 1 of them new\n"


def test_names_that_are_none_or_several(manual: Path) -> None:
    assert "there is no record `x`" in run("archive", "show", "x").stderr
    add(manual, job(), job(begun="2026-11-26T08:00:00Z"))
    result = run("archive", "show", "2026-11")
    assert result.exit_code == 2
    assert "may be any of these" in result.stderr


# -- persons -----------------------------------------------------------------------------------


def test_neither_registration_nor_initials_stay_unless_wanted(manual: Path) -> None:
    value = job(customer="Ms Example", set_aside=[{"key": "x", "initials": "cd", "value": "9"}])
    value["readings"][1] = {**value["readings"][1], "initials": "CD"}
    result = add(manual, value)
    assert "left out, as no record of a page has it: `customer`" in result.stdout
    text = jobs(manual)[0].read_text()
    everything = "".join(p.read_text("latin-1") for p in (manual / "archive").rglob("*.*"))
    for secret in ("26-118", "HL", '"AB"', '"CD"', '"cd"', "Example"):
        assert secret not in text
    assert "26-118" not in everything
    signed = [each["initials"] for each in json.loads(text)["record"]["readings"]]
    assert signed == ["person 1", "person 2", "person 1"]
    assert json.loads(text)["record"]["set_aside"][0]["initials"] == "person 2"


def test_they_stay_where_the_shop_wants_them(manual: Path) -> None:
    (manual / "conf/shop.toml").write_text(KEEP)
    add(manual, job(customer="Ms Example"))
    record = json.loads(jobs(manual)[0].read_text())["record"]
    assert (record["reference"], record["customer"]) == ("HL 26-118", "Ms Example")
    assert record["readings"][0]["initials"] == "AB"
    assert "Reference: HL 26-118" in run("archive", "show", "2026").stdout


def test_a_registration_that_is_left_out_is_not_found(manual: Path) -> None:
    (manual / "conf/shop.toml").write_text(KEEP.replace('"keep"', '"leave-out"'))
    add(manual, job())
    assert found("--registration", "HL 26-118") == []
    assert found()[0]["registration"] == ""


def test_a_customer_is_forgotten_and_stays_so(manual: Path) -> None:
    (manual / "conf/shop.toml").write_text(KEEP)
    add(manual, job(remarks=[REMARK]), job(reference="OTHER", begun="2026-11-26T08:00:00Z"))
    result = run("archive", "forget", "--registration", "HL 26-118", "--yes")
    assert result.exit_code == 0, result.output
    kept = [json.loads(path.read_text()) for path in jobs(manual)]
    assert len(kept) == 2
    mine = next(each for each in kept if not each["registration"])
    assert mine["record"]["remarks"] == [{"step": 2, "kind": "unclear", "at": AT}]
    assert "reference" not in mine["record"]
    raw = (manual / "archive/index.sqlite").read_bytes()
    assert b"which side first" not in raw
    assert found("--registration", "HL 26-118") == []
    assert sound() == "2 records, no findings\n"
    again = add(manual, job(remarks=[REMARK]))
    assert again.exit_code == 1
    assert "not added: it was taken out for its customer on 20" in again.stdout
    assert len(jobs(manual)) == 2


def test_a_record_is_deleted_whole(manual: Path) -> None:
    add(manual, job())
    assert run("archive", "forget", "2026", "--whole", "--yes").exit_code == 0
    assert jobs(manual) == []
    assert found() == []
    assert sound() == "0 records, no findings\n"


def test_nothing_is_forgotten_without_a_word(manual: Path) -> None:
    add(manual, job())
    assert run("archive", "forget", "2026").exit_code != 0  # nobody answers
    assert len(jobs(manual)) == 1
    assert run("archive", "forget").exit_code == 2


# -- what is wrong -----------------------------------------------------------------------------


def test_a_record_twice(manual: Path) -> None:
    add(manual, job())
    twice = add(manual, dict(reversed(job().items())))  # the same, in another order
    assert twice.exit_code == 0
    assert "in the archive already, as 2026-11-25_mule" in twice.stdout
    assert len(jobs(manual)) == len(found()) == 1


def test_two_phones_on_one_job(manual: Path) -> None:
    half = job(steps=[{"number": 1, "done": AT}], readings=[])
    other = job(steps=[{"number": 2, "done": AT}])
    first, later, phone = add(manual, half), add(manual, job()), add(manual, other)
    assert "job" not in first.stdout.replace("job-0", "")
    assert "another state of the same job is there too" in later.stdout
    assert "two phones on one job: each has what the other lacks" in phone.stdout
    assert len(found()) == 3
    assert len({row["job"] for row in found()}) == 1


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (json.dumps(job()).encode()[:200], "it breaks off"),
        (b"\x00\xff" * 20, "it is not UTF-8"),
        (b"{}", "this is no record in format 1"),
        (json.dumps(job(procedure="")).encode(), "`procedure` has to be"),
        (b"[1]", "it holds no JSON object"),
    ],
)
def test_what_is_no_record_is_not_added_and_the_rest_is(
    manual: Path, content: bytes, said: str
) -> None:
    result = add(manual, content, job())
    assert result.exit_code == 1
    assert f"job-0.json: not added: it is no record: {said}" in result.stdout
    assert "job-1.json: added as" in result.stdout
    assert len(jobs(manual)) == 1


def test_records_of_unknown_pages_and_revisions_are_kept_and_told(manual: Path) -> None:
    result = add(
        manual,
        job(procedure="../../renew-covr\x1b", begun="2026-11-01T08:00:00Z"),
        job(revision="Z", digest="0" * 16, begun="2026-11-02T08:00:00Z"),
        job(digest="0" * 16, begun="2026-11-03T08:00:00Z"),
    )
    assert result.exit_code == 0
    assert "this manual has no procedure" in result.stdout
    assert "the record is of revision Z, the page is A" in result.stdout
    assert "the page of revision A says something else by now" in result.stdout
    assert "\x1b" not in result.output
    assert len(jobs(manual)) == 3
    assert all(path.is_relative_to(manual / "archive/jobs/2026/11") for path in jobs(manual))
    assert run("archive", "show", "2026-11-01").exit_code == 0


def test_clocks_that_can_not_be_right(manual: Path) -> None:
    steps = [
        {"number": 1, "done": "1970-01-01T00:00:00Z"},
        {"number": 2, "done": "2199-01-01T00:00:00Z"},
    ]
    result = add(manual, job(steps=steps), job(begun="", saved="", steps=[], readings=[]))
    assert "$.steps[0].done: 1970-01-01T00:00:00+00:00 is before there were such" in result.stdout
    assert "$.steps[1].done: 2199-01-01T00:00:00+00:00 is still to come" in result.stdout
    assert jobs(manual)[0].name.startswith("0000-00-00_mule")


ENDS = ("0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00", "2026-02-30T08:00:00Z", "today")


@pytest.mark.parametrize("begun", ENDS)
def test_times_that_are_none_are_told_and_stop_nothing(manual: Path, begun: str) -> None:
    result = add(manual, job(begun=begun, steps=[{"number": 1, "done": begun}], saved=begun))
    assert result.exit_code == 0
    assert "no time in it tells its day: it stands under 0000-00-00" in result.stdout
    assert (
        "$.begun: `begun` has to be a time such as 2026-09-14T15:30:00+02:00 (and 2 more like"
        in (result.stdout)
    )
    assert add(manual, job()).exit_code == 0
    assert [row["day"] for row in found()] == ["0000-00-00", "2026-11-25"]
    assert run("learn").exit_code == 0


def test_one_cause_is_told_in_one_line(manual: Path) -> None:
    result = add(manual, job(begun="2026-11-26T08:00:00Z"))
    (told,) = [line for line in result.stdout.splitlines() if "before the job was begun" in line]
    assert re.search(
        r"\$\.steps\[0\]\.done: .* \(and \d more like it\); set the phone's clock", told
    )


def test_remarks_with_a_wrong_field_are_kept_and_told(manual: Path) -> None:
    odd = [{**REMARK, "at": "x"}, {**REMARK, "kind": "unclr"}, {**REMARK, "step": "2"}]
    result = add(manual, job(remarks=odd))
    for path in ("$.remarks[0].at: ", "$.remarks[1].kind: ", "$.remarks[2].step: "):
        assert path in result.stdout
    (row,) = found("--remark", "which side")
    assert row["remarks"] == "unclear 2: which side first\nunclr 2: which side first"
    assert "Remark, unclr: which side first" in run("archive", "show", row["name"]).stdout


def test_what_is_no_file_is_not_waited_for(manual: Path) -> None:
    os.mkfifo(manual / "pipe.json")
    result = run("archive", "add", "pipe.json")
    assert result.exit_code == 1
    assert result.stdout.startswith("pipe.json: not added: it is no file;")


def test_a_file_that_is_not_there_keeps_none_of_the_others_out(manual: Path) -> None:
    (manual / "good-1.json").write_text(json.dumps(job()))
    (manual / "more").mkdir()
    result = run("archive", "add", "goood-1.json", "more", "nix.json", "good-1.json")
    assert result.exit_code == 1
    said = result.stdout.splitlines()
    assert said[0] == "goood-1.json: not added: it is not there; did you mean `good-1.json`?"
    assert said[1] == "more: not added: it is a folder; name its files: more/*.json"
    assert said[2].startswith("nix.json: not added: it is not there;")
    assert said[3].startswith("good-1.json: added as")
    assert len(jobs(manual)) == 1


def test_half_a_character_is_kept_as_it_is(manual: Path) -> None:
    odd = job(remarks=[{**REMARK, "text": "\ud83d"}])
    assert "added as" in add(manual, odd).stdout
    assert "in the archive already" in add(manual, odd).stdout
    assert run("archive", "show", "2026").exit_code == 0


def test_edits_afterwards_are_found(manual: Path) -> None:
    add(manual, job(), job(begun="2026-11-26T08:00:00Z"), job(begun="2026-11-27T08:00:00Z"))
    one, two, three = jobs(manual)
    one.write_text(one.read_text().replace('"10"', '"11"'))
    two.write_bytes(two.read_bytes()[:100])
    three.unlink()
    copied = one.with_name("2026-11-25_mule_copied_0.json")
    copied.write_text("{}")
    said = sound()
    assert f"{one.name}: error: edited" in said
    assert f"{two.name}: error: broken: it breaks off" in said
    assert f"{three.name}: error: missing" in said
    assert f"{copied.name}: error: foreign" in said
    assert run("archive", "check").exit_code == 1
    result = run("archive", "index")
    assert result.exit_code == 1
    assert "not in the index: it breaks off" in result.stdout
    assert "error: edited" in sound()
    again = add(manual, job())
    assert again.exit_code == 1
    assert "is there under the same name, and says something else" in again.stdout


@pytest.mark.parametrize("change", ["edit", "take out", "put in"])
def test_the_journal_tells_when_it_was_touched(manual: Path, change: str) -> None:
    add(manual, *(job(begun=f"2026-11-2{n}T08:00:00Z") for n in range(3)))
    journal = manual / "archive/journal.jsonl"
    lines = journal.read_text().splitlines(keepends=True)
    changed = {
        "edit": [lines[0], lines[1].replace('"at":"2', '"at":"1'), lines[2]],
        "take out": [lines[0], lines[2]],
        "put in": [lines[0], lines[1], lines[1], lines[2]],
    }[change]
    journal.write_text("".join(changed))
    assert "journal-edited: line" in sound()


def test_a_half_written_line_loses_nothing(manual: Path) -> None:
    add(manual, job(), job(begun="2026-11-26T08:00:00Z"))
    journal = manual / "archive/journal.jsonl"
    journal.write_bytes(journal.read_bytes()[:-30])
    assert "half-line" in sound()
    result = add(manual, job(begun="2026-11-26T08:00:00Z"))
    assert "was there without a line in the journal, and has one now" in result.stdout
    assert sound() == "2 records, no findings\n"


def test_what_was_stopped_half_way_is_ended(manual: Path) -> None:
    add(manual, job(), job(begun="2026-11-26T08:00:00Z"))
    journal = manual / "archive/journal.jsonl"
    journal.write_bytes(journal.read_bytes().splitlines(keepends=True)[0])
    (manual / f"archive/jobs/2026/11/.x{ARRIVING}").write_bytes(b"{")
    assert "not-listed" in sound()
    assert "half-written" in sound()
    result = run("archive", "index")
    assert result.exit_code == 0
    assert result.stdout.count("put right") == 2
    assert sound() == "2 records, no findings\n"


@pytest.mark.parametrize("harm", ["gone", "broken", "other", "behind"])
def test_the_index_is_made_anew_from_the_files(manual: Path, harm: str) -> None:
    add(manual, job())
    index = manual / "archive/index.sqlite"
    before = index.read_bytes()
    add(manual, job(begun="2026-11-26T08:00:00Z"))
    if harm == "gone":
        index.unlink()
    elif harm == "broken":
        index.write_bytes(os.urandom(5000))
    elif harm == "behind":
        index.write_bytes(before)
    else:
        with sqlite3.connect(index) as db:
            db.execute("UPDATE meta SET value = 'other' WHERE name = 'sum'")
        db.close()
    assert len(found()) == 2
    assert run("archive", "find", "--car", "mule").exit_code == 0


def test_a_full_disk(manual: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    add(manual, job())

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("os.fsync", full)
        result = add(manual, job(begun="2026-11-26T08:00:00Z"))
    assert result.exit_code == 2
    assert "not added: archive/jobs/2026/11/2026-11-26" in result.stderr
    assert "No space left on device" in result.stderr
    assert sound() == "1 record, no findings\n"
    assert "added as" in add(manual, job(begun="2026-11-26T08:00:00Z")).stdout


def test_a_disk_that_fills_between_file_and_line(
    manual: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    add(manual, job())
    calls = iter([None, None])  # the file, its folder

    def full(_: int) -> None:
        if next(calls, "full"):
            raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("os.fsync", full)
        assert add(manual, job(begun="2026-11-26T08:00:00Z")).exit_code == 2
    assert sound().splitlines()[0].endswith("the journal has no line for it: whoever put it in was "
                                            "stopped, or it was copied in")  # fmt: skip
    assert "has one now" in add(manual, job(begun="2026-11-26T08:00:00Z")).stdout
    assert sound() == "2 records, no findings\n"


def _adds(folder: str, start: int) -> None:
    os.chdir(folder)
    for n in range(start, start + 8):
        name = f"mine-{n}.json"
        saved(Path(folder), job(begun=f"2026-11-{n + 1:02}T08:00:00Z"), name)
        assert run("archive", "add", name).exit_code == 0


def test_two_people_at_once_lose_nothing(manual: Path) -> None:
    context = multiprocessing.get_context("spawn")
    pair = [context.Process(target=_adds, args=(str(manual), start)) for start in (0, 8)]
    for each in pair:
        each.start()
    for each in pair:
        each.join()
    assert [each.exitcode for each in pair] == [0, 0]
    assert len(jobs(manual)) == len(found()) == 16
    assert sound() == "16 records, no findings\n"


def test_an_archive_that_somebody_holds(manual: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from filelock import FileLock  # noqa: PLC0415 - in the command, for writers alone

    add(manual, job())
    monkeypatch.setattr("procedures_lib.fronts.cli.archiving.store.LOCK_SECONDS", 0.01)
    with FileLock(manual / "archive/lock"):
        result = add(manual, job(begun="2026-11-26T08:00:00Z"))
    assert result.exit_code == 2
    assert "is being written to by somebody else" in result.stderr
    assert len(jobs(manual)) == 1


def test_a_key_that_is_lost(manual: Path) -> None:
    add(manual, job())
    (manual / "archive/key").unlink()
    assert "error: no-key" in sound()
    result = add(manual, job())
    assert result.exit_code == 2
    assert "Bring it back from the backup" in result.stderr


def test_a_journal_that_is_lost(manual: Path) -> None:
    add(manual, job(), job(begun="2026-11-26T08:00:00Z"))
    (manual / "archive/journal.jsonl").unlink()
    for words in (["find"], ["check"], ["add", "job-0.json"]):
        result = run("archive", *words)
        assert result.exit_code == 2
        assert "journal.jsonl is missing: nothing tells what was put in." in result.stderr
    assert run("archive", "index").stdout.endswith("\n2 records\n")
    assert sound() == "2 records, no findings\n"


def test_what_is_no_file_in_the_folder_of_jobs(manual: Path) -> None:
    add(manual, job())
    (path,) = jobs(manual)
    path.rename(manual / "elsewhere.json")
    path.symlink_to(manual / "elsewhere.json")
    (path.parent / "loop").symlink_to("loop")
    (path.parent / "folder").symlink_to(manual)
    os.mkfifo(path.parent / "pipe")
    told = [line.split(": ", 3)[:3] for line in sound().splitlines() if ": error: " in line]
    assert [(Path(file).name, kind) for file, _, kind in told] == [
        (path.name, "link"), ("folder", "foreign"), ("loop", "foreign"), ("pipe", "foreign"),
    ]  # fmt: skip


def test_a_file_that_is_gone_is_told_and_stops_nothing(manual: Path) -> None:
    add(manual, job())
    (path,) = jobs(manual)
    path.unlink()
    shown = run("archive", "show", path.stem)
    assert shown.exit_code == 2
    assert "No such file or directory.\nBring it back from a backup, or put" in shown.stderr
    result = add(manual, job(steps=[]))  # another record of that job
    assert result.exit_code == 0
    assert f"another state of the same job is there too: {path.stem}" in result.stdout
    assert add(manual, job()).exit_code == 0
    assert sound() == "2 records, no findings\n"


def test_the_archive_is_not_among_the_pages(manual: Path) -> None:
    result = run("archive", "find", "--archive", "docs/archive")
    assert result.exit_code == 2
    assert "is among the pages, and may be published" in result.stderr


def test_an_archive_that_is_not_there_yet(manual: Path) -> None:
    for words in (("find",), ("check",), ("index",), ("forget", "x")):
        result = run("archive", *words, "--archive", "archiv")
        assert result.exit_code == 2
        assert "there is no archive at archiv yet" in result.stderr
        assert not (manual / "archiv").exists()
    assert run("archive", "show", "x").exit_code == 2
    assert not (manual / "archive").exists()


def test_readings_that_are_no_objects(manual: Path) -> None:
    value = job(readings=["x", reading("cover-bolts", 2, "10", "N·m", "click-25")])
    result = add(manual, value)
    assert "$.readings[0]: this has to be an object" in result.stdout
    assert json.loads(jobs(manual)[0].read_text())["record"]["readings"][0] == "x"


def test_an_archive_that_can_only_be_read(manual: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    add(manual, job())
    (manual / "archive/index.sqlite").unlink()
    connect = sqlite3.connect

    def closed(name: str, **settings: Any) -> sqlite3.Connection:
        if name != ":memory:":
            raise sqlite3.OperationalError("unable to open database file")
        opened: sqlite3.Connection = connect(name, **settings)
        return opened

    monkeypatch.setattr("sqlite3.connect", closed)
    assert len(found("--car", "mule")) == 1
    assert not (manual / "archive/index.sqlite").exists()
