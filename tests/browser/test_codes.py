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


STEPS = [f"k{n}" if n % 3 else f"tighten|{n}" for n in range(1, 13)]
PAGE: dict[str, Any] = {
    "id": "fit-a", "revision": "D", "digest": "0123456789abcdef0123", "title": "Fit a",
    "tools": {"wrenches": [], "gauges": []},
    "steps": [
        {
            "number": number, "key": key, "digest": "d", "when": "", "title": key,
            "stages": [{"joint": j, "stage": n} for j in ("cooler-bolts", "clamp") for n in (1, 2)],
            "actions": [{"readings": [{"joint": "cooler-bolts", "stage": 1}]}],
        }
        for number, key in enumerate(STEPS, start=1)
    ],
}  # fmt: skip
"""A page; the clamp's stages have nothing to be read."""

TAKEN_OVER = """async ([page, jobs, made]) => {
  const { payloadOf, fragmentsOf, jobIn } = await import("/job/link.js");
  const { stamp } = await import("/job/dom.js");
  const options = [["transmission", "Transmission", ["manual"]]];
  const linkOf = async (job) => fragmentsOf(await payloadOf(job, page))[0];
  const jobOf = async (link) => (await jobIn(link, page, options, stamp)).job ?? null;
  return Promise.all((made ?? await Promise.all(jobs.map(linkOf))).map(jobOf));
}"""
"""The jobs that another phone takes out of the links of these jobs, or out of these links."""


def drawn_time(chance: random.Random) -> str:
    """A time of the job's day, with its second; a tick may be set back before the begin."""
    hour, minute, second = chance.randrange(6, 18), chance.randrange(60), chance.randrange(60)
    return f"2026-09-14T{hour:02}:{minute:02}:{second:02}+00:00"


def drawn_reading(chance: random.Random, *, read: bool) -> dict[str, str]:
    """A reading, or the tick of a stage: its time alone, set by hand."""
    at = drawn_time(chance)
    if not read:
        return {"value": "", "unit": "", "wrench": "", "initials": "", "at": at, "hand": "yes"}
    by_hand = {"hand": "yes"} if chance.random() < 0.3 else {}
    value = chance.choice(["45", "44.9", "4,5", "1|2", "forty", "½ ° ÄÖ", '"'])
    unit = chance.choice(["N·m", "lbf·ft", "°"])
    wrench = chance.choice(["", "click-100", "mine, red"])
    return {
        "value": value,
        "unit": unit,
        "wrench": wrench,
        "initials": "ÄB",
        "at": chance.choice([at, ""]),
        **by_hand,
    }


def drawn_job(chance: random.Random) -> dict[str, Any]:
    """A job in which each step is untouched, done, or done before a change: whole or in part."""
    job: dict[str, Any] = {
        "procedure": PAGE["id"], "revision": "D", "digest": PAGE["digest"],
        "car": {"transmission": "manual"},
        "begun": "2026-09-14T07:30:00+00:00", "reference": "WO 4711", "ticks": {}, "readings": {},
        "remarks": {}, "handovers": {}, "before": {},
    }  # fmt: skip
    for key in STEPS:
        kind = chance.choice(["", "done", "before", "both"])
        if kind in ("done", "both"):
            job["ticks"][key] = drawn_time(chance)
            job["readings"][f"{key}|cooler-bolts|1"] = drawn_reading(chance, read=True)
            job["readings"][f"{key}|clamp|2"] = drawn_reading(chance, read=False)
        if kind in ("before", "both"):
            joints = chance.sample(["cooler-bolts", "clamp", "gone-bolts"], chance.randrange(4))
            job["before"][key] = {
                "revision": chance.choice("BCD"),
                "tick": drawn_time(chance) if chance.random() < 0.5 or not joints else "",
                "readings": {
                    f"{key}|{joint}|{chance.randrange(1, 5)}": drawn_reading(
                        chance, read=chance.random() < 0.5
                    )
                    for joint in joints
                },
            }
    return job


def test_what_a_link_holds_comes_out_as_it_went_in(scripts: Page) -> None:
    """Ticks, readings, and what was done before a change: the same, to the second."""
    chance = random.Random(21)  # noqa: S311
    jobs = [drawn_job(chance) for _ in range(200)]
    assert sum(bool(job["before"]) for job in jobs) > 150
    for sent, got in zip(jobs, scripts.evaluate(TAKEN_OVER, [PAGE, jobs, None]), strict=True):
        assert {key: got[key] for key in sent} == sent


MADE_EARLIER = (
    "#job=3.01014260910700108316959603175440193332743633363100830249215302709810144968388199602"
    "204094280086263600541549011242457350476087914849625107143979791575463087062550894459142659"
    "107821833463147227511204403475453969707446550510485637359737673705103679041090155634380241"
    "078124309587884471665082247969421556453266247776901187888769289751367941871038430209922285"
    "050065342255884347606001850873501761170"
)
"""A link made before links had what was done before a change."""


def test_a_link_made_earlier_is_read(scripts: Page) -> None:
    page = {
        **PAGE,
        "steps": [{**step, "key": f"k{n}"} for n, step in enumerate(PAGE["steps"][:3], 1)],
    }
    page["steps"][0]["actions"] = page["steps"][2]["actions"] = []
    page["steps"] = [{**step, "stages": step["stages"][:2]} for step in page["steps"]]
    (job,) = scripts.evaluate(TAKEN_OVER, [page, [], [MADE_EARLIER]])
    assert job["ticks"] == {"k1": "2026-09-14T07:31:07+00:00"}
    assert job["readings"]["k2|cooler-bolts|1"]["at"] == "2026-09-14T07:40:59+00:00"
    assert job["readings"]["k3|cooler-bolts|2"]["at"] == "2026-09-14T07:50:01+00:00"
    assert job["before"] == {}


def test_two_jobs_brought_together_lose_nothing_that_was_read(scripts: Page) -> None:
    """Both have a reading from before a change at one stage: the other's is put aside."""
    own, other = drawn_job(random.Random(1)), drawn_job(random.Random(2))  # noqa: S311
    key = f"{STEPS[0]}|clamp|1"
    for job, value in ((own, "44"), (other, "46")):
        job["aside"] = {}
        job["ticks"] = {}
        reading = {"value": value, "unit": "N·m", "wrench": "", "initials": "", "at": ""}
        job["before"] = {STEPS[0]: {"revision": "B", "tick": "", "readings": {key: reading}}}
    made = scripts.evaluate(
        """async ([own, other]) => (await import("/job/changes.js")).merged(own, other)""",
        [own, other],
    )
    assert made["before"][STEPS[0]]["readings"][key]["value"] == "44"
    assert made["aside"][key]["value"] == "46"
