"""A card on paper: its QR code is read back, every sign has a shape in the font."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

import pypdf
import pypdfium2
import pytest
import segno
import zxingcpp

from procedures_lib.fronts.paper import SIZES, card_pdf, signs_lacking
from procedures_lib.fronts.paper.card import make_card
from procedures_lib.fronts.paper.card_pdf import QR_SIDE, QUIET
from procedures_lib.fronts.paper.lettering import MISSING, has_sign, printable
from procedures_lib.language.variants import ALWAYS
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import Shop
from tests.demo import PROJECT, demo, demo_plan
from tests.helpers import manual_from
from tests.paper.pdf_text import pages_of

if TYPE_CHECKING:
    from PIL.Image import Image

SIGNS = "·°±–−½¼¾⅛⅜⅝⅞⅓→≤≥×²³…“”‘’µμαΩπ√≈•\u00a0"
"""The signs that quantities, threads, arrows and prose of a manual are written with."""


def first_page(pdf: bytes, dpi: int = 200) -> Image:
    """The first page as a printer or a reader of PDF draws it."""
    page = pypdfium2.PdfDocument(pdf)[0]
    image: Image = page.render(scale=dpi / 72).to_pil()
    return image


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", ["fit-tf-220", "fit-bd-420", "load-tf-100"])
def test_the_code_on_the_printed_page_leads_to_the_procedure(name: str, size: str) -> None:
    pdf = card_pdf(make_card(demo(), demo_plan(name), ALWAYS), size)
    [code] = zxingcpp.read_barcodes(first_page(pdf))
    assert code.text == f"https://manual.example/procedures/{name}.html"
    assert code.text in pages_of(pdf)[0]


def test_the_code_is_read_from_a_poor_copy() -> None:
    pdf = card_pdf(make_card(demo(), demo_plan("fit-tf-220"), ALWAYS))
    [code] = zxingcpp.read_barcodes(first_page(pdf, 100).convert("1"))
    assert code.text.endswith("/fit-tf-220.html")


def test_the_modules_on_the_page_are_those_of_the_code() -> None:
    address = "https://manual.example/procedures/fit-tf-220.html"
    matrix = [bytes(row) for row in segno.make_qr(address, error="m").matrix]
    scale = 4.0
    pdf = card_pdf(make_card(demo(), demo_plan("fit-tf-220"), ALWAYS))
    image = first_page(pdf, int(72 * scale)).convert("L")
    unit = QR_SIDE / (len(matrix) + 2 * QUIET)
    left, top = SIZES["a4"][0] - 42 - QR_SIDE, 52.0

    def dark(row: int, column: int) -> bool:
        x, y = left + (column + QUIET + 0.5) * unit, top + (row + QUIET + 0.5) * unit
        at, down = int(x * scale), int(y * scale)
        return image.crop((at, down, at + 1, down + 1)).tobytes() < b"\x80"

    around = range(-QUIET, len(matrix) + QUIET)
    inside = range(len(matrix))
    for row in around:
        for column in around:
            there = row in inside and column in inside
            assert dark(row, column) == (there and matrix[row][column] == 1), (row, column)


def test_without_an_address_there_is_no_code() -> None:
    manual = Manual(demo().contents.values(), Shop(name="Shop without a site"))
    head = demo_plan("fit-tf-220").head
    pdf = card_pdf(make_card(manual, manual.plan(head), ALWAYS))
    assert zxingcpp.read_barcodes(first_page(pdf)) == []


@pytest.mark.parametrize("sign", SIGNS)
def test_the_font_has_the_sign(sign: str) -> None:
    assert has_sign(sign)
    assert printable(sign) in {sign, "μ", "µ"}


def test_the_font_has_every_sign_of_the_manual() -> None:
    texts = [path.read_text(encoding="utf-8") for path in (PROJECT / "docs").rglob("*.md")]
    signs = set("".join(texts)) - {"\n", "\t", MISSING}
    assert [sign for sign in sorted(signs) if printable(sign) == MISSING] == []


def test_the_fonts_are_in_the_file() -> None:
    pdf = card_pdf(make_card(demo(), demo_plan("load-tf-100"), ALWAYS))
    fonts = {}
    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:
        resources: Any = page["/Resources"]
        for font in resources["/Font"].values():
            found = font.get_object()
            if "/FontDescriptor" in found:
                fonts[found["/BaseFont"]] = "/FontFile2" in found["/FontDescriptor"]
    assert len(fonts) >= 2
    assert all(fonts.values())


def test_signs_that_the_font_lacks_are_seen_and_told() -> None:
    pages = {"page.md": PAGE.replace("lamp", "lamp 灯 🚗")}
    manual = manual_from(pages)
    plan = manual.plan_of_page("page.md")
    assert plan is not None
    card = make_card(manual, plan, ALWAYS)
    assert set(signs_lacking(card)) == {"灯", "🚗"}
    assert f"Fit the lamp {MISSING} {MISSING}" in pages_of(card_pdf(card))[0]


PAGE = """
    # Fit the lamp

    ```{procedure} fit-lamp
    vehicle: small-hatch
    revision: A
    ```

    :::{step} Screw it on
    Turn it.
    :::
    """
