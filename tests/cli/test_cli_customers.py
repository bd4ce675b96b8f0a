"""What of a customer stays in the archive, comes back to it, and is found by its key."""

from __future__ import annotations

import base64
import io
import json
import unicodedata
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.cli.test_cli_archive import REMARK, add, found, job, jobs, sound
from tests.cli.world import run
from tests.records.samples import AT


def _photograph() -> dict[str, str]:
    raw = io.BytesIO()
    Image.new("RGB", (8, 8), "red").save(raw, "JPEG")
    return {"type": "image/jpeg", "data": base64.b64encode(raw.getvalue()).decode()}


def _aside() -> dict[str, Any]:
    words = "seal of Ms Example upside down"
    return {"key": "seal-on", "kind": "wrong", "text": words, "at": AT, "picture": _photograph()}


def record(manual: Path) -> dict[str, Any]:
    (path,) = jobs(manual)
    value: dict[str, Any] = json.loads(path.read_bytes())["record"]
    return value


def test_a_remark_that_was_set_aside_is_kept_whole(manual: Path) -> None:
    result = add(manual, job(set_aside=[_aside(), {"key": "x", "value": "9"}]))
    assert "left out" not in result.stdout
    assert record(manual)["set_aside"] == [_aside(), {"key": "x", "value": "9"}]
    (row,) = found("--remark", "upside down")
    assert row["remarks"] == "wrong, set aside: seal of Ms Example upside down"
    shown = run("archive", "show", "2026").stdout
    assert "no longer had, wrong: seal of Ms Example upside down" in shown


def test_stages_without_a_number_are_kept(manual: Path) -> None:
    stage = {"step": 2, "joint": "cover-bolts", "stage": 1, "done": AT}
    result = add(manual, job(stages=[stage]))
    assert "left out" not in result.stdout
    assert record(manual)["stages"] == [stage]


def test_words_that_were_set_aside_are_forgotten_too(manual: Path) -> None:
    add(manual, job(set_aside=[_aside()]))
    assert run("archive", "forget", "2026", "--yes").exit_code == 0
    assert record(manual)["set_aside"] == [{"key": "seal-on", "kind": "wrong", "at": AT}]
    everything = b"".join(p.read_bytes() for p in (manual / "archive").rglob("*") if p.is_file())
    assert b"Ms Example" not in everything
    assert _photograph()["data"].encode() not in everything


def test_another_save_of_a_forgotten_job_comes_in_without_the_customer(manual: Path) -> None:
    half = job(steps=[{"number": 1, "done": AT}], remarks=[REMARK])
    add(manual, half)
    assert run("archive", "forget", "--registration", "HL 26-118", "--yes").exit_code == 0
    result = add(manual, job(remarks=[REMARK]))
    assert result.exit_code == 0
    assert "the customer of this job was taken out on 20" in result.stdout
    assert found("--registration", "HL 26-118") == []
    assert found("--remark", "which side") == []
    assert len(found()) == 2
    assert "in the archive already" in add(manual, job(remarks=[REMARK])).stdout
    (manual / "archive/index.sqlite").unlink()
    assert "the customer of this job" in add(manual, job(remarks=[REMARK, REMARK])).stdout
    assert sound().endswith("no findings\n")


def test_another_save_of_a_job_that_was_deleted_is_not_put_in(manual: Path) -> None:
    add(manual, job(steps=[{"number": 1, "done": AT}]))
    assert run("archive", "forget", "2026", "--whole", "--yes").exit_code == 0
    result = add(manual, job())
    assert result.exit_code == 1
    assert "not added: it was taken out for its customer on 20" in result.stdout
    assert jobs(manual) == []


@pytest.mark.parametrize("secret", [b"", b"\n", b"0" * 64 + b"\n"])
def test_another_key_is_told_wherever_it_would_find_nothing(manual: Path, secret: bytes) -> None:
    add(manual, job())
    (manual / "archive/key").write_bytes(secret)
    why = "not the key with which" if secret.strip() else "it is empty, or was cut off"
    for words in (
        ("archive", "find", "--registration", "HL 26-118"),
        ("archive", "forget", "--registration", "HL 26-118", "--yes"),
        ("archive", "add", "job-0.json"),
    ):
        result = run(*words)
        assert result.exit_code == 2
        assert "archive/key: " in result.stderr
        assert why in result.stderr
        assert "from the backup" in result.stderr
    assert "error: wrong-key" in sound()
    assert len(jobs(manual)) == 1


@pytest.mark.parametrize("form", ["NFC", "NFD", "NFKC"])
def test_a_plate_is_found_however_its_letters_are_put_together(manual: Path, form: Any) -> None:
    add(manual, job(reference=unicodedata.normalize("NFD", "KÖ-TÜ 118")))
    typed = unicodedata.normalize(form, "kö-tü 118")
    assert len(found("--registration", typed)) == 1
    assert found("--registration", "KO-TU 118") == []
    assert run("archive", "forget", "--registration", typed, "--yes").exit_code == 0
    assert found("--registration", typed) == []


def test_many_plates_with_one_begin_are_many_jobs(manual: Path) -> None:
    result = add(manual, *(job(reference=f"HL 26-{n}") for n in range(3)))
    assert "another state of the same job" not in result.stdout
    assert "3 jobs" in run("learn").stdout
