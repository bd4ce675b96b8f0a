"""Remarks in a record: kinds, steps, photographs; what is none; records from before them."""

from __future__ import annotations

import base64
import io
import json
from typing import Any

import pytest
from PIL import Image

from procedures_lib.judging.records.photograph import (
    MOST_PICTURE_BYTES,
    PhotographError,
    read_photograph,
)
from procedures_lib.judging.records.record import (
    MOST_BYTES,
    MOST_TEXT,
    RecordError,
    load_record,
    read_record,
)
from procedures_lib.judging.records.record_check import check_record
from procedures_lib.judging.records.remarks import KINDS, photograph_of
from tests.records.samples import AT, complete, found, shop_manual


def jpeg(width: int = 40, height: int = 30, **more: Any) -> bytes:
    """A JPEG file as Pillow writes it (libjpeg-turbo, outside of the project)."""
    out = io.BytesIO()
    Image.effect_noise((width, height), 60).convert("RGB").save(out, "JPEG", **more)
    return out.getvalue()


def picture(raw: bytes) -> dict[str, str]:
    """A photograph as a page writes it."""
    return {"type": "image/jpeg", "data": base64.b64encode(raw).decode("ascii")}


def remark(**changed: Any) -> dict[str, Any]:
    """A remark at step 2, some of its fields changed."""
    return {"step": 2, "kind": "wrong", "text": "It is the left one", "at": AT, **changed}


def test_a_record_with_remarks_is_complete_and_has_them() -> None:
    remarks = [remark(kind=kind) for kind in KINDS] + [remark(picture=picture(jpeg()))]
    assert found(complete(remarks=remarks)) == []
    record, _ = read_record(complete(remarks=remarks))
    assert record is not None
    assert [each.kind for each in record.remarks] == [*KINDS, "wrong"]
    assert record.remarks[0].text == "It is the left one"
    assert record.remarks[0].at is not None
    seen = photograph_of(record.remarks[-1])
    assert seen is not None
    assert (seen.width, seen.height, seen.raw) == (40, 30, jpeg_again(seen.raw))


def jpeg_again(raw: bytes) -> bytes:
    """The same bytes, if Pillow can unpack them."""
    Image.open(io.BytesIO(raw)).load()
    return raw


def test_a_remark_needs_no_words_and_no_time_and_a_record_no_remarks() -> None:
    assert found(complete(remarks=[{"step": 1, "kind": "slow"}])) == []
    assert found(complete(remarks=[remark(text="", at="")])) == []
    assert found(complete(remarks=None)) == []
    record, findings = read_record(complete())
    assert record is not None
    assert (record.remarks, findings) == ((), [])


@pytest.mark.parametrize(
    ("changed", "wanted"),
    [
        ({"step": 3}, ("$.remarks[0].step", "unknown-step")),
        ({"step": 0}, ("$.remarks[0].step", "wrong-shape")),
        ({"kind": "bad"}, ("$.remarks[0].kind", "unknown-kind")),
        ({"kind": ""}, ("$.remarks[0].kind", "wrong-shape")),
        ({"kind": 7}, ("$.remarks[0].kind", "wrong-shape")),
        ({"text": "x" * 301}, ("$.remarks[0].text", "wrong-shape")),
        ({"at": "noon"}, ("$.remarks[0].at", "wrong-shape")),
        ({"picture": "x"}, ("$.remarks[0].picture", "wrong-shape")),
        ({"picture": {}}, ("$.remarks[0].picture", "not-a-photograph")),
        ({"picture": {"type": "image/svg+xml", "data": ""}},
         ("$.remarks[0].picture", "not-a-photograph")),
        ({"picture": {"type": "image/jpeg", "data": 5}},
         ("$.remarks[0].picture", "not-a-photograph")),
        ({"picture": {"type": "image/jpeg", "data": "<svg>"}},
         ("$.remarks[0].picture", "not-a-photograph")),
        ({"picture": {"type": "image/jpeg", "data": "ÄÖ"}},
         ("$.remarks[0].picture", "not-a-photograph")),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_remark_is_one_finding(
    changed: dict[str, Any], wanted: tuple[str, str]
) -> None:
    assert found(complete(remarks=[remark(**changed)])) == [wanted]


def test_a_list_of_too_many_remarks_is_one_finding_and_none_is_used() -> None:
    record, findings = read_record(complete(remarks=[remark()] * 51))
    assert record is not None
    assert record.remarks == ()
    assert [(each.path, each.check) for each in findings] == [("$.remarks", "wrong-shape")]


def test_remarks_are_judged_on_whatever_revision_they_were_made() -> None:
    odd = [remark(step=99, kind="bad")]
    assert found(complete(revision="Z", remarks=odd)) == [
        ("$.revision", "other-revision"), ("$.remarks[0].kind", "unknown-kind"),
    ]  # fmt: skip


def test_a_misspelt_kind_is_told_the_right_one() -> None:
    record, _ = read_record(complete(remarks=[remark(kind="mising")]))
    assert record is not None
    (finding,) = check_record(record, shop_manual())
    assert "`missing`" in finding.hint


@pytest.mark.parametrize(
    "more",
    [{}, {"progressive": True}, {"quality": 5}, {"subsampling": 0}, {"comment": b"\xff\xc0 note"}],
)
def test_sides_are_those_that_another_program_wrote(more: dict[str, Any]) -> None:
    for sides in ((1, 1), (640, 480), (17, 1280)):
        read = read_photograph(picture(jpeg(*sides, **more)))
        assert (read.width, read.height, read.has_camera_data) == (*sides, False)


def test_data_of_the_camera_are_a_warning() -> None:
    exif = Image.Exif()
    exif[0x0110] = "a camera"
    raw = jpeg(exif=exif.tobytes())
    assert read_photograph(picture(raw)).has_camera_data
    assert found(complete(remarks=[remark(picture=picture(raw))])) == [
        ("$.remarks[0].picture", "camera-data")
    ]


def bomb(side: int) -> bytes:
    """A small JPEG whose head says that it has so many pixels a side."""
    raw = bytearray(jpeg())
    at = raw.index(b"\xff\xc0")
    raw[at + 5 : at + 9] = side.to_bytes(2) * 2
    return bytes(raw)


@pytest.mark.parametrize(
    ("raw", "check"),
    [
        (b"", "not-a-photograph"),
        (b"\x89PNG\r\n\x1a\n" + bytes(50), "not-a-photograph"),
        (b"<script>alert(1)</script>", "not-a-photograph"),
        (jpeg()[:-2], "not-a-photograph"),
        (jpeg()[:60] + b"\xff\xd9", "not-a-photograph"),
        (b"\xff\xd8\xff\xd9", "not-a-photograph"),
        (b"\xff\xd8" + b"\xff" * 1000 + b"\xff\xd9", "not-a-photograph"),
        (b"\xff\xd8\xff\xe0\x00\x00\xff\xd9", "not-a-photograph"),
        (bomb(0), "not-a-photograph"),
        (bomb(4097), "photograph-too-large"),
        (bomb(65535), "photograph-too-large"),
        (jpeg() + bytes(MOST_PICTURE_BYTES), "photograph-too-large"),
    ],
)
def test_what_is_no_photograph_is_refused(raw: bytes, check: str) -> None:
    with pytest.raises(PhotographError) as caught:
        read_photograph(picture(raw))
    assert caught.value.check == check
    assert caught.value.hint


def test_a_photograph_of_just_the_most_bytes_is_taken() -> None:
    raw = jpeg()
    raw = raw[:-2] + bytes(MOST_PICTURE_BYTES - len(raw)) + raw[-2:]
    assert len(read_photograph(picture(raw)).raw) == MOST_PICTURE_BYTES


def test_a_record_holds_thirty_photographs_and_no_bomb() -> None:
    """Thirty of the most that a page makes, 150,000 bytes, with text that JSON escapes."""
    large = picture(jpeg()[:-2] + bytes(150_000 - len(jpeg())) + jpeg()[-2:])
    full = [remark(text="\u202e" * 300, picture=large)] * 30 + [remark()] * 20
    raw = json.dumps(complete(remarks=full), indent=2).encode()
    assert MOST_TEXT < len(raw) < MOST_BYTES
    assert found(load_record(raw)) == []
    for content in (
        b" " * (MOST_BYTES + 1),
        b"[" + b"[]," * 2_000_000 + b"1]",
        b'{"a": [' + b'"AAAA",' * 900_000 + b'""]}',
        b'{"a": "' + b"<" * (MOST_TEXT + 1) + b'"}',
        raw[: len(raw) // 2] + b"[]," * 900_000,
    ):
        with pytest.raises(RecordError) as caught:
            load_record(content)
        assert "more than" in caught.value.message
