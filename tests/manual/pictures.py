"""Small pictures made for tests: a plain ground with one red corner, as a camera would write it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PIL import Image, ImageDraw

if TYPE_CHECKING:
    from pathlib import Path

GPS, MAKE, ORIENTATION = 0x8825, 0x010F, 0x0112
"""Tags of Exif 2.3: 4.6.3 (GPS), 4.6.4 (maker, orientation)."""

CAMERA = "Invented K-1"


def ground(size: tuple[int, int] = (1600, 1200), red: int = 40) -> Image.Image:
    """A grey picture whose upper left corner is red, ``red`` pixels wide and high."""
    image = Image.new("RGB", size, (120, 130, 140))
    ImageDraw.Draw(image).rectangle((0, 0, red - 1, red - 1), fill=(220, 30, 30))
    return image


def camera_exif(orientation: int = 1) -> Image.Exif:
    """What a camera writes: maker, how it was held, and where it was."""
    exif = Image.Exif()
    exif[MAKE], exif[ORIENTATION] = CAMERA, orientation
    place = exif.get_ifd(GPS)
    place[1], place[2], place[3], place[4] = "N", (48.0, 8.0, 14.0), "E", (11.0, 34.0, 31.0)
    return exif


def saved(path: Path, image: Image.Image | None = None, **more: object) -> Path:
    """Save a picture in the kind of its ending, the folders above it made."""
    path.parent.mkdir(parents=True, exist_ok=True)
    (image or ground()).save(path, **more)  # type: ignore[arg-type]
    return path
