"""The files of pictures: what their heads say, read without the picture itself."""

from __future__ import annotations

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
    """Return a picture's size from the head of its file; :class:`PictureError` for a bad one."""
    try:
        with opened(path) as image:
            turned = orientation(image) >= 5
            width, height = image.size[::-1] if turned else image.size
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
