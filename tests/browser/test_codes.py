"""QR codes against `segno`, an independent encoder of ISO/IEC 18004, and `zxing-cpp`, a decoder.

Checksums of links against zlib.
"""

from __future__ import annotations

import io
import random
import zlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import segno
import zxingcpp
from PIL import Image, ImageFilter

from procedures_lib.fronts.site.theme import THEME
from tests.browser.serving import Served

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Page

STATIC = THEME / "static"
SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_.#=/:"


@pytest.fixture
def scripts(phone: Page) -> Iterator[Page]:
    """A page from whose address the theme's modules can be imported."""
    served = Served(STATIC)
    phone.goto(served.url + "blank")
    yield phone
    served.close()


def codes_of(scripts: Page, wanted: list[tuple[str, str, int | None]]) -> list[dict[str, Any]]:
    """Encode texts in the browser: (text, level, mask)."""
    found: list[dict[str, Any]] = scripts.evaluate(
        """async (wanted) => {
          const { encode } = await import("/job/qr/encode.js");
          return wanted.map(([text, level, mask]) => {
            const code = encode(text, level, mask);
            return code && { ...code, rows: code.rows.map((row) => row.map(Number)) };
          });
        }""",
        wanted,
    )
    return found


def reference(text: str, code: dict[str, Any]) -> list[list[int]]:
    made = segno.make(
        text, error=code["level"], version=code["version"], mask=code["mask"], mode="byte",
        encoding="utf-8", eci=False, boost_error=False, micro=False,
    )  # fmt: skip
    return [list(row) for row in made.matrix]


def bytes_held(scripts: Page, level: str) -> list[int]:
    """How many bytes each version holds: its data codewords less mode and count."""
    words: list[int] = scripts.evaluate(
        """async (level) => {
          const { dataCodewords } = await import("/job/qr/blocks.js");
          return Array.from({ length: 40 }, (_, n) => dataCodewords(n + 1, level));
        }""",
        level,
    )
    return [count - (2 if n < 10 else 3) for n, count in enumerate(words, start=1)]


@pytest.mark.parametrize("level", ["L", "M"])
def test_every_version_full_to_the_brim_is_the_reference_symbol(scripts: Page, level: str) -> None:
    """Full, because the reference puts a zero byte before the pad bytes, which 7.4.10 does not."""
    chance = random.Random(18004)  # noqa: S311
    held = bytes_held(scripts, level)
    assert held[-1] == {"L": 2953, "M": 2331}[level]  # ISO/IEC 18004, table 7
    texts = ["".join(chance.choices(SIGNS, k=n)) for n in held]
    codes = codes_of(scripts, [(text, level, n % 8) for n, text in enumerate(texts)])
    for n, (text, code) in enumerate(zip(texts, codes, strict=True)):
        assert (code["version"], code["mask"]) == (n + 1, n % 8)
        assert code["rows"] == reference(text, code), code["version"]
        with pytest.raises(segno.DataOverflowError):
            reference(f"{text}x", code)


def test_codes_that_are_not_full_are_read_by_another_decoder(scripts: Page) -> None:
    chance = random.Random(7)  # noqa: S311
    texts = ["".join(chance.choices(SIGNS, k=n)) for n in (1, 16, 60, 200, 431, 900, 1500, 2300)]
    texts.append("10 N·m ± 1, then +45°")
    for level in ("L", "M"):
        for text, code in zip(
            texts, codes_of(scripts, [(t, level, None) for t in texts]), strict=True
        ):
            assert read(code["rows"]) == text


def read(rows: list[list[int]]) -> str:
    """Return what `zxing-cpp` reads in a symbol, drawn with four dots a module."""
    dark = np.kron(np.pad(np.array(rows, dtype=np.uint8), 4), np.ones((4, 4), dtype=np.uint8))
    found = zxingcpp.read_barcodes(255 * (1 - dark))
    return found[0].text if found else ""


def test_what_no_version_holds_is_none(scripts: Page) -> None:
    wanted: list[tuple[str, str, int | None]] = [("a" * 2954, "L", None), ("a" * 2332, "M", None)]
    assert codes_of(scripts, wanted) == [None, None]


def test_the_checksum_is_crc_32(scripts: Page) -> None:
    texts = ["", "123456789", "10 N·m", "x" * 5000]
    found = scripts.evaluate(
        """async (texts) => {
          const { checksum } = await import("/job/link.js");
          return texts.map(checksum);
        }""",
        texts,
    )
    assert found == [f"{zlib.crc32(text.encode()):08x}" for text in texts]
    assert found[1] == "cbf43926"  # the check value of CRC-32/ISO-HDLC


@pytest.mark.parametrize("level", ["L", "M"])
def test_digits_alone_are_the_reference_symbol(scripts: Page, level: str) -> None:
    chance = random.Random(10)  # noqa: S311
    texts = ["".join(chance.choices("0123456789", k=n)) for n in (12, 100, 652, 653, 2000, 5000)]
    for text, code in zip(texts, codes_of(scripts, [(t, level, 3) for t in texts]), strict=True):
        assert read(code["rows"]) == text
        made = segno.make(text, error=level, mask=3, mode="numeric", boost_error=False, micro=False)
        assert code["version"] == made.version


def test_digits_behind_a_text_are_read_by_another_decoder(scripts: Page) -> None:
    texts = [f"https://manual.example/p.html#job=2.{'0123456789' * n}{n}" for n in (2, 30, 150)]
    for text, code in zip(texts, codes_of(scripts, [(t, "M", None) for t in texts]), strict=True):
        assert read(code["rows"]) == text


def test_bytes_come_back_from_digits(scripts: Page) -> None:
    chance = random.Random(256)  # noqa: S311
    samples = [[chance.randrange(256) for _ in range(n)] for n in range(40)] + [[0] * 9, [255] * 9]
    found = scripts.evaluate(
        """async (samples) => {
          const { digitsOf, bytesIn } = await import("/job/packed.js");
          return samples.map((bytes) => {
            const digits = digitsOf(Uint8Array.from(bytes));
            return [digits, [...bytesIn(digits)]];
          });
        }""",
        samples,
    )
    for sample, (digits, back) in zip(samples, found, strict=True):
        assert back == sample
        whole = [sample[n : n + 7] for n in range(0, len(sample), 7)]
        numbers = [int.from_bytes(bytes(group)) for group in whole]
        assert all(str(number) in digits for number in numbers)


LARGE_JOB = Path(__file__).with_name("large_job.js")


@pytest.mark.parametrize(("steps", "readings", "count"), [(100, 50, 1), (400, 300, 4)])
def test_a_large_job_is_read_off_a_blurred_screen(
    scripts: Page, steps: int, readings: int, count: int
) -> None:
    """100 ticks and 50 readings are one code; more are several, each read with a blur of 2."""
    script = LARGE_JOB.read_text("utf-8").partition("\n")[2]
    made = scripts.evaluate(script, {"steps": steps, "readings": readings})
    assert len(made["links"]) == count
    assert max(made["versions"]) <= 20
    for text in made["links"]:
        scripts.evaluate(
            """async (text) => {
              const { codeOf } = await import("/job/codes.js");
              const { drawing } = await import("/job/qr/drawing.js");
              const svg = drawing(codeOf(text), "code");
              svg.setAttribute("width", "358"); // the width of a phone's page, less its margins
              document.body.replaceChildren(svg);
            }""",
            text,
        )
        picture = Image.open(io.BytesIO(scripts.locator(".qr").screenshot()))
        blurred = picture.convert("L").filter(ImageFilter.GaussianBlur(2))
        assert [code.text for code in zxingcpp.read_barcodes(blurred)] == [text]
