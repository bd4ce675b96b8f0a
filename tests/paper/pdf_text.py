"""A card read back from its PDF: the text of its pages, and its colours."""

from __future__ import annotations

import io
import re

import pypdf
from pypdf.generic import ContentStream


def pages_of(pdf: bytes) -> list[str]:
    """The text of each page as an independent reader of PDF finds it, spaces made alike."""
    reader = pypdf.PdfReader(io.BytesIO(pdf), strict=True)
    return [re.sub(r"\s+", " ", page.extract_text()) for page in reader.pages]


def colours_of(pdf: bytes) -> set[tuple[str, tuple[float, ...]]]:
    """The colours that a file sets, each as its operator and its values."""
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    found = set()
    for page in reader.pages:
        content = page.get_contents()
        assert isinstance(content, ContentStream)
        for values, operator in content.operations:
            if operator in {b"g", b"G", b"rg", b"RG", b"k", b"K", b"sc", b"scn", b"SC", b"SCN"}:
                found.add((operator.decode(), tuple(float(value) for value in values)))
    return found
