"""Pictures: what their heads say, how they are coded, and that nothing of the camera is left."""

from __future__ import annotations

import io
import random
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image, ImageCms

from procedures_lib.manual.picture_coding import BUDGETS, coded
from procedures_lib.manual.picture_file import MOST_PIXELS, PictureError, picture_size
from tests.manual.pictures import CAMERA, GPS, MAKE, camera_exif, ground, saved


def seen(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data)).convert("RGB")


def is_red(pixel: object) -> bool:
    assert isinstance(pixel, tuple)
    red, green, blue = pixel
    return bool(red > 170 and green < 90 and blue < 90)


def test_a_picture_is_coded_for_phone_and_desk_and_never_made_larger(tmp_path: Path) -> None:
    wide = coded(saved(tmp_path / "wide.jpg", ground((4000, 3000))))
    assert [(each.width, each.height) for each in wide] == [(780, 585), (1600, 1200)]
    narrow = coded(saved(tmp_path / "narrow.png", ground((1000, 500))))
    assert [(each.width, each.height) for each in narrow] == [(780, 390), (1000, 500)]
    tiny = coded(saved(tmp_path / "tiny.webp", ground((300, 200))))
    assert [(each.width, each.height) for each in tiny] == [(300, 200)]
    for made in (*wide, *narrow, *tiny):
        assert seen(made.data).size == (made.width, made.height)
        assert made.data[8:12] == b"WEBP"


def test_the_place_and_the_camera_are_taken_out(tmp_path: Path) -> None:
    path = saved(tmp_path / "taken.jpg", ground(), exif=camera_exif())
    raw = path.read_bytes()
    with Image.open(path) as before:
        assert before.getexif()[MAKE] == CAMERA
        assert before.getexif().get_ifd(GPS)[2] == (48.0, 8.0, 14.0)
    assert CAMERA.encode() in raw
    for made in coded(path):
        with Image.open(io.BytesIO(made.data)) as after:
            assert dict(after.getexif()) == {}
            assert not {"exif", "xmp", "icc_profile"} & after.info.keys()
        assert CAMERA.encode() not in made.data
        assert b"EXIF" not in made.data
        assert b"XMP " not in made.data
        assert b"ICCP" not in made.data


CORNERS = {1: (0, 0), 2: (1, 0), 3: (1, 1), 4: (0, 1), 5: (0, 0), 6: (1, 0), 7: (1, 1), 8: (0, 1)}
"""Where the first pixel of the file is seen, by its orientation: Exif 2.3, 4.6.4, tag 274."""


@pytest.mark.parametrize("held", CORNERS)
def test_a_picture_is_turned_as_its_camera_says(tmp_path: Path, held: int) -> None:
    path = saved(tmp_path / "held.jpg", ground((800, 600), 120), exif=camera_exif(held))
    lying = held >= 5
    size = picture_size(path)
    assert (size.width, size.height) == ((600, 800) if lying else (800, 600))
    made = coded(path)[-1]
    image = seen(made.data)
    assert image.size == (size.width, size.height)
    for corner in ((0, 0), (1, 0), (0, 1), (1, 1)):
        at = corner[0] * (image.width - 21) + 10, corner[1] * (image.height - 21) + 10
        assert is_red(image.getpixel(at)) == (corner == CORNERS[held])


def test_the_same_file_gives_the_same_bytes(tmp_path: Path) -> None:
    path = saved(tmp_path / "one.jpg", ground(), exif=camera_exif(6))
    other = tmp_path / "two.jpg"
    other.write_bytes(path.read_bytes())
    assert coded(path) == coded(other)


def test_a_picture_that_can_not_be_light_is_made_narrower(tmp_path: Path) -> None:
    noise = Image.frombytes("RGB", (1700, 900), random.Random(1).randbytes(1700 * 900 * 3))  # noqa: S311
    made = coded(saved(tmp_path / "noise.png", noise))
    for each, most in zip(made, BUDGETS.values(), strict=True):
        assert len(each.data) <= most
        assert each.width / each.height == pytest.approx(1700 / 900, rel=0.01)
    assert made[-1].width < 1600


def test_colours_are_those_of_srgb_and_what_shows_through_is_white(tmp_path: Path) -> None:
    glass = Image.new("RGBA", (200, 200), (0, 0, 0, 0))
    assert seen(coded(saved(tmp_path / "glass.png", glass))[0].data).getpixel((5, 5)) == (
        255, 255, 255,
    )  # fmt: skip
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    same = coded(saved(tmp_path / "srgb.png", ground((200, 200)), icc_profile=lab))[0]
    pixel = seen(same.data).getpixel((150, 150))
    assert isinstance(pixel, tuple)
    assert all(abs(a - b) <= 4 for a, b in zip(pixel, (120, 130, 140), strict=True))
    broken = coded(saved(tmp_path / "odd.png", ground((200, 200)), icc_profile=b"no profile"))
    assert len(broken) == 1


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "I;16", "CMYK"])
def test_every_kind_of_pixel_is_read(tmp_path: Path, mode: str) -> None:
    ending = "jpg" if mode == "CMYK" else "png"
    image = ground((64, 48)).convert("L" if mode == "I;16" else mode)
    path = saved(tmp_path / f"one.{ending}", image.convert(mode))
    assert [(each.width, each.height) for each in coded(path)] == [(64, 48)]


def bomb(width: int, height: int) -> bytes:
    """A PNG of a few bytes that says it is huge: PNG 3rd ed., 11.2.1."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    rows = chunk(b"IDAT", zlib.compress(bytes(1000)))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + rows + chunk(b"IEND", b"")


def moving() -> bytes:
    out = io.BytesIO()
    ground((40, 40)).save(out, "PNG", save_all=True, append_images=[ground((40, 40), 10)])
    return out.getvalue()


def file_of(kind: str) -> bytes:
    out = io.BytesIO()
    ground((40, 40)).save(out, kind)
    return out.getvalue()


BAD = {
    "empty.png": (b"", "can't be read as PNG"),
    "text.jpg": (b"not a picture", "can't be read as JPEG"),
    "other.png": (file_of("JPEG"), "can't be read as PNG"),
    "gif.webp": (file_of("GIF"), "can't be read as WEBP"),
    "bomb.png": (bomb(60_000, 60_000), "too large"),
    "large.png": (bomb(16_000, MOST_PIXELS // 16_000 + 1), "too large"),
    "long.png": (bomb(20_000, 10), "too large"),
    "moving.png": (moving(), "moves"),
    "one.svg": (b"<svg/>", "no kind of picture"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_picture_is_told_from_its_head(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(BAD[name][0])
    for reading in (picture_size, coded):
        with pytest.raises(PictureError, match=BAD[name][1]) as caught:
            reading(tmp_path / name)
        assert caught.value.hint


@pytest.mark.parametrize("kind", ["png", "jpg", "webp"])
def test_a_picture_cut_short_is_told_when_it_is_coded(tmp_path: Path, kind: str) -> None:
    noise = Image.frombytes("RGB", (300, 200), random.Random(2).randbytes(180_000))  # noqa: S311
    path = saved(tmp_path / f"cut.{kind}", noise)
    path.write_bytes(path.read_bytes()[:9000])
    with pytest.raises(PictureError, match="can't be read"):
        coded(path)


def test_no_bytes_make_the_reader_raise_anything_else(tmp_path: Path) -> None:
    chance = random.Random(3)  # noqa: S311
    whole = {
        "a.png": file_of("PNG"), "b.jpg": file_of("JPEG"), "c.webp": file_of("WEBP"),
    }  # fmt: skip
    refused = 0
    for name, raw in whole.items():
        for _ in range(150):
            broken = bytearray(raw)
            for _ in range(chance.randint(1, 6)):
                broken[chance.randrange(len(broken))] = chance.randrange(256)
            (tmp_path / name).write_bytes(bytes(broken))
            try:
                coded(tmp_path / name)
            except PictureError:
                refused += 1
    assert 100 < refused < 450
