"""The files of pictures: what their heads say and whether they end, without unpacking any."""

from __future__ import annotations

import re
import warnings
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from procedures_lib.findings import SlipError

if TYPE_CHECKING:
    from PIL import Image

FORMATS: Final = {".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG", ".webp": "WEBP"}
"""The kind of file that each ending stands for, as Pillow calls it."""

MOST_PIXELS = 64_000_000
"""No picture has more: that is 192 MB once it is unpacked."""

MOST_BYTES = 100_000_000
"""No file of a picture is larger."""

LONGEST_SIDE = 16_383
"""Pixels: the most that a WebP picture has (RFC 9649, 2.4)."""

_ORIENTATION = 0x0112
"""The tag of Exif 2.3, 4.6.4, that says how a picture was held; values from 5 on lie on a side."""


class PictureError(SlipError):
    """A picture that can't be shown, with what to do."""

    def __init__(self, message: str, hint: str, check: str = "unreadable-picture") -> None:
        super().__init__(check, message, hint)


@dataclass(frozen=True, slots=True)
class PictureSize:
    """A picture's width and height in pixels as it is seen, and the weight of its file in bytes."""

    width: int
    height: int
    weight: int


def picture_size(path: Path) -> PictureSize:
    """Return a picture's size, read once as long as its file stays as it is.

    :class:`PictureError` for a bad one.
    """
    try:
        state = path.stat()
    except OSError as error:
        raise unreadable(path, error) from None
    return _size(path, state.st_mtime_ns, state.st_size)


@lru_cache(maxsize=4096)
def _size(path: Path, _time: int, weight: int) -> PictureSize:
    """Return a picture's size, nothing of it unpacked; :class:`PictureError` for a bad one."""
    try:
        with opened(path) as image:
            turned = orientation(image) >= 5
            width, height = image.size[::-1] if turned else image.size
        if not _ENDS[FORMATS[path.suffix]](path.read_bytes()):
            raise PictureError(f"`{path.name}` is cut off: its end is missing",
                               "copy it again from where it came")  # fmt: skip
        return PictureSize(width, height, weight)
    except OSError as error:
        raise unreadable(path, error) from None


def opened(path: Path) -> Image.Image:
    """Open a picture, its head read and nothing else; :class:`PictureError` for a bad one.

    A camera's file that holds a second picture counts as the first. OSError as usual.
    """
    from PIL import Image, UnidentifiedImageError  # noqa: PLC0415 - pages without pictures need none

    kind = FORMATS.get(path.suffix)
    if kind is None:
        raise PictureError(f"`{path.name}` is no kind of picture that a page may bring",
                           f"save it as {', '.join(FORMATS)}", "foreign-file")  # fmt: skip
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the size is judged here
            image = Image.open(path, formats=[kind])
    except UnidentifiedImageError:
        said = f"`{path.name}` can't be read as {kind}: it is broken, or of another kind"
        raise PictureError(said, "save it anew from the program that made it") from None
    except Image.DecompressionBombError:
        raise _too_large(path) from None
    except (ValueError, SyntaxError, ArithmeticError, EOFError, LookupError, TypeError) as error:
        raise unreadable(path, error) from None
    return _judged(image, path)


def _judged(image: Image.Image, path: Path) -> Image.Image:
    try:
        heavy = path.stat().st_size > MOST_BYTES
        if heavy or image.width * image.height > MOST_PIXELS or max(image.size) > LONGEST_SIDE:
            raise _too_large(path)
        if image.format != "MPO" and getattr(image, "n_frames", 1) > 1:
            raise PictureError(f"`{path.name}` moves", "save one of its pictures")
    except PictureError:
        image.close()
        raise
    return image


def _too_large(path: Path) -> PictureError:
    most = f"{MOST_PIXELS // 10**6} million pixels, and none of its sides {LONGEST_SIDE}"
    return PictureError(f"`{path.name}` is too large to be unpacked",
                        f"make it smaller: no more than {most}")  # fmt: skip


def unreadable(path: Path, error: Exception) -> PictureError:
    """Return the fault of a picture that could not be read to its end."""
    if isinstance(error, PictureError):
        return error
    reason = getattr(error, "strerror", None) or "its file is broken"
    return PictureError(f"`{path.name}` can't be read: {reason}",
                        "save it anew from the program that made it")  # fmt: skip


_MARKER = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
"""What ends the coded data of a scan: neither a stuffed byte, nor a restart, nor filling."""


def _jpeg_ends(raw: bytes) -> bool:
    """Whether the segments of a JPEG file lead to its end (ITU-T T.81, B.1.1 and B.2)."""
    at = 2
    while at + 4 <= len(raw):
        mark = raw[at + 1]
        if raw[at] != 0xFF or mark == 0xFF:
            at += 1
            continue
        at += 2 + int.from_bytes(raw[at + 2 : at + 4], "big")
        if mark == 0xDA:
            found = _MARKER.search(raw, at)
            if found is None:
                return False
            at = found.start()
        if raw[at : at + 2] == b"\xff\xd9":
            return True
    return False


def _png_ends(raw: bytes) -> bool:
    """Whether the chunks of a PNG file lead to its end (PNG 3rd ed., 5.3 and 11.2.4)."""
    at = 8
    while at + 12 <= len(raw):
        if raw[at + 4 : at + 8] == b"IEND":
            return True
        at += 12 + int.from_bytes(raw[at : at + 4], "big")
    return False


def _webp_ends(raw: bytes) -> bool:
    """Whether a WebP file is as long as it says (RFC 9649, 2.4)."""
    return len(raw) >= 8 + int.from_bytes(raw[4:8], "little")


_ENDS: Final = {"JPEG": _jpeg_ends, "PNG": _png_ends, "WEBP": _webp_ends}


def orientation(image: Image.Image) -> int:
    """Return how a picture was held, 1 to 8 after Exif; 1 where the head does not say."""
    from PIL import Image  # noqa: PLC0415 - as above

    raw = image.info.get("exif")
    if not isinstance(raw, bytes):
        return 1
    exif = Image.Exif()
    try:
        exif.load(raw)
        found = exif.get(_ORIENTATION, 1)
    except (ValueError, SyntaxError, ArithmeticError, EOFError, LookupError, TypeError, OSError):
        return 1
    return found if isinstance(found, int) and 1 <= found <= 8 else 1
