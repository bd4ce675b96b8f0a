"""Pictures coded for a screen: turned upright, made small, without what their camera wrote."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from procedures_lib.manual.picture_file import opened, orientation, unreadable

if TYPE_CHECKING:
    from PIL import Image

BUDGETS: Final = {780: 80_000, 1600: 240_000}
"""The widths for a phone and for a desk, in pixels, each with the most bytes that it may have."""

RECIPE = "2"
"""Changes when pictures are to be coded anew."""


def recipe() -> str:
    """What makes the same file another picture: this recipe, and the coder's version."""
    import PIL  # noqa: PLC0415 - only builds need it

    return f"{RECIPE} {PIL.__version__}"


_QUALITIES = (82, 74, 66, 58, 50, 40, 30)
_SMALL, _ENOUGH = 800, 66
"""A phone shows two pixels for one: up to so many across, this quality is as good to the eye."""
_SHRINK = 0.8
_OF_LINES = 0.35
"""The share of its weight that a drawing needs: its few greys stand a stronger packing well."""

_EFFORT = 4


@dataclass(frozen=True, slots=True)
class Coded:
    """A picture as a WebP file: its width and height in pixels, and its bytes."""

    width: int
    height: int
    data: bytes


_ANY = (
    ValueError, SyntaxError, ArithmeticError, EOFError, LookupError, TypeError, OSError, MemoryError
)  # fmt: skip
"""What Pillow raises for a file that is broken."""


def coded(path: Path, budgets: dict[int, int] | None = None) -> tuple[Coded, ...]:
    """Return a picture in each width of :data:`BUDGETS`, narrowest first; none is made larger.

    The same file gives the same bytes. :class:`PictureError` for a file that can't be read.
    """
    try:
        return tuple(_each(path, budgets or BUDGETS))
    except _ANY as error:
        raise unreadable(path, error) from None


PAPER = 900
"""Pixels: the width of a picture on paper, 216 dots an inch where it is 300 points wide."""


def for_paper(path: Path) -> bytes:
    """Return a picture as JPEG for paper, coded once as long as its file stays as it is.

    :class:`PictureError` for a file that can't be read.
    """
    try:
        state = path.stat()
        return _for_paper(path, state.st_mtime_ns, state.st_size)
    except _ANY as error:
        raise unreadable(path, error) from None


@lru_cache(maxsize=64)
def _for_paper(path: Path, _time: int, _weight: int) -> bytes:
    out = io.BytesIO()
    _upright(path, PAPER).save(out, "JPEG", quality=78, exif=b"", icc_profile=b"")
    return out.getvalue()


def _each(path: Path, budgets: dict[int, int]) -> list[Coded]:
    upright = _upright(path, max(budgets))
    found: dict[int, Coded] = {}
    for wanted, most in sorted(budgets.items()):
        width = min(wanted, upright.width)
        if width not in found:
            found[width] = _within(upright, width, most, path)
    return list({made.width: made for made in found.values()}.values())


def _is_drawing(path: Path) -> bool:
    """Whether a picture has a palette, as drawings have and photographs have not."""
    with opened(path) as image:
        return image.mode in {"1", "P"}


def _within(upright: Image.Image, width: int, most: int, path: Path) -> Coded:
    """Code a picture in a width, as well as its weight allows; narrower when it does not."""
    light = _OF_LINES * most if _is_drawing(path) else most
    while True:
        size = width, max(1, round(upright.height * width / upright.width))
        small = upright if size == upright.size else _resized(upright, size)
        tries = [_webp(small, lossless=True)] if path.suffix == ".png" else []
        for quality in _QUALITIES:
            if width < _SMALL and quality > _ENOUGH:
                continue
            tries.append(_webp(small, quality=quality))
            if len(tries[-1]) <= light:
                break
        least = min(tries, key=len)
        if len(least) <= most or width < 64:
            return Coded(*size, least)
        width = int(width * _SHRINK)


def _webp(image: Image.Image, quality: int = 80, *, lossless: bool = False) -> bytes:
    out = io.BytesIO()
    image.save(out, "WEBP", quality=quality, method=_EFFORT, lossless=lossless, exif=b"",
               icc_profile=b"", xmp=b"")  # fmt: skip
    return out.getvalue()


def _resized(image: Image.Image, size: tuple[int, int]) -> Image.Image:
    from PIL import Image  # noqa: PLC0415 - only builds need it

    return image.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)


def _upright(path: Path, widest: int) -> Image.Image:
    """Unpack a picture: as it is seen, in sRGB, on white, no wider than needed."""
    from PIL import Image  # noqa: PLC0415 - as above

    turns = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_270,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_90,
    }
    with opened(path) as image:
        turn = orientation(image)
        wide, tall = image.size[::-1] if turn >= 5 else image.size
        scale = min(1.0, widest / wide)
        least = round(wide * scale), round(tall * scale)
        if image.mode == "RGB":
            across, down = least[::-1] if turn >= 5 else least
            image.draft("RGB", (2 * across, 2 * down))  # a JPEG unpacked at a part of its size
        image.load()
        plain = _in_srgb(image)
    seen = plain.transpose(turns[turn]) if turn in turns else plain
    seen.info.clear()
    return _resized(seen, (max(1, least[0]), max(1, least[1]))) if scale < 1 else seen


def _in_srgb(image: Image.Image) -> Image.Image:
    """Turn a picture's colours into sRGB, those that show through on white."""
    from PIL import Image, ImageCms  # noqa: PLC0415 - as above

    profile = image.info.get("icc_profile")
    if image.mode.startswith("I"):  # 16 bits: the lower 8 are not seen
        image = image.convert("I").point(lambda value: value / 256).convert("L")
    see_through = "A" in image.getbands() or "transparency" in image.info
    if see_through:
        over = image.convert("RGBA")
        image = Image.new("RGB", over.size, "white")
        image.paste(over, mask=over.getchannel("A"))
    if isinstance(profile, bytes) and profile and image.mode in {"RGB", "CMYK", "L"}:
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            made = ImageCms.profileToProfile(
                image, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except (ImageCms.PyCMSError, OSError, ValueError):  # colours that nothing can read
            made = None
        if made is not None:
            return made
    return image if image.mode == "RGB" else image.convert("RGB")
