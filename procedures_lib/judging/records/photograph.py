"""A photograph in a record: whether it is a JPEG, how large it is, and what else it carries."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

JPEG = "image/jpeg"
MOST_PICTURE_BYTES = 200_000
"""A page makes photographs of up to 150,000 bytes and 1280 pixels a side."""

_MOST_BASE64 = -(-MOST_PICTURE_BYTES // 3) * 4

MOST_PIXELS = 4096
"""A side of a photograph: unpacked it then has less than 70 MB."""


class PhotographError(ValueError):
    """A value that is no photograph: ``check`` names the finding, ``hint`` says what to do."""

    def __init__(self, check: str, message: str, hint: str) -> None:
        super().__init__(message)
        self.check = check
        self.message = message
        self.hint = hint


@dataclass(frozen=True, slots=True)
class Photograph:
    """A JPEG file, its sides in pixels; ``has_camera_data`` where it holds an Exif segment."""

    raw: bytes
    width: int
    height: int
    has_camera_data: bool = False


def read_photograph(value: Mapping[str, Any]) -> Photograph:
    """Return the photograph in an object with ``type`` and ``data``; PhotographError else."""
    if value.get("type") != JPEG:
        raise _no_photograph(f"its type is not {JPEG}")
    data = value.get("data")
    if not isinstance(data, str):
        raise _no_photograph("it has no data")
    if len(data) > _MOST_BASE64:
        raise PhotographError(
            "photograph-too-large",
            f"the photograph has more than {MOST_PICTURE_BYTES:,} bytes",
            "the page makes them smaller: was the file edited?",
        )
    try:
        raw = base64.b64decode(data, validate=True)
    except (binascii.Error, ValueError):
        raise _no_photograph("its data is not base64") from None
    return _jpeg(raw)


def _no_photograph(why: str) -> PhotographError:
    hint = "take it again, or leave the photograph out"
    return PhotographError("not-a-photograph", f"this is no photograph: {why}", hint)


def _jpeg(raw: bytes) -> Photograph:
    """Read the head of a JPEG file (ITU-T T.81, annex B), up to its compressed data."""
    if not raw.startswith(b"\xff\xd8\xff"):
        raise _no_photograph("it is no JPEG")
    width = height = 0
    has_camera_data = False
    for marker, segment in _segments(raw):
        if _is_frame(marker) and len(segment) >= 6:
            height, width = (int.from_bytes(segment[n : n + 2]) for n in (1, 3))
        has_camera_data |= marker == 0xE1
    if not (width and height and raw.endswith(b"\xff\xd9")):
        raise _no_photograph("the JPEG is damaged or cut off")
    if max(width, height) > MOST_PIXELS:
        raise PhotographError(
            "photograph-too-large",
            f"the photograph has {width} × {height} pixels, more than {MOST_PIXELS} on a side",
            "the page makes them smaller: was the file edited?",
        )
    return Photograph(raw, width, height, has_camera_data)


def _segments(raw: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield each marker with its segment, up to the start of the first scan."""
    at = 2
    while at + 4 <= len(raw) and raw[at] == 0xFF:
        marker = raw[at + 1]
        if marker == 0xFF:  # a fill byte
            at += 1
            continue
        size = int.from_bytes(raw[at + 2 : at + 4])
        if marker == 0xDA or size < 2:
            return
        yield marker, raw[at + 4 : at + 2 + size]
        at += 2 + size


def _is_frame(marker: int) -> bool:
    """Whether a marker starts a frame: SOF0 to SOF15, which DHT, JPG and DAC stand among."""
    return 0xC0 <= marker <= 0xCF and marker not in {0xC4, 0xC8, 0xCC}
