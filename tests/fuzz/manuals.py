"""Manuals to spoil: the demo, and those that stand beside the tests; one page of one is changed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from hypothesis import strategies as st

from procedures_lib.language.entities.builder import build
from procedures_lib.language.entities.work import Content
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import DataFiles, page_names, read_contents
from procedures_lib.manual.shop import read_shop
from tests.fuzz.edits import EDITS, Edit, edited

_PROJECT = Path(__file__).resolve().parents[2]
_WORK = ("vehicles", "kits", "procedures", "common", "jobs", "results")

WITNESS = "zz-witness.md"
"""A page that leans on no other, and that no line is taken from: its findings must stay."""

_WITNESS = """\
```{procedure} zz-witness
vehicle: zz-car
revision: A
```
```{vehicle} zz-car
name: Z
```
```{parts}
zz-part: {name: Part, held-by: zz-bolt}
```
```{fasteners}
zz-bolt: {kind: bolt, count: 2, thread: M8x1.25, class: "8.8", tighten: [25]}
```
:::{step} Off
:do: remove zz-part
Turn it to 25 N·m.
:::
"""


@dataclass(frozen=True)
class Base:
    """A manual, with the text of each page."""

    manual: Manual
    texts: dict[str, str]


@cache
def bases() -> dict[str, Base]:
    """Return the manuals by name."""
    outside = sorted((_PROJECT / "tests" / "outside" / "manuals").iterdir())
    return {"demo": _base(_PROJECT / "docs", _WORK), **{each.name: _base(each) for each in outside}}


def _base(root: Path, folders: tuple[str, ...] = ()) -> Base:
    names = [n for n in page_names(root) if not folders or n.partition("/")[0] in folders]
    shop, _ = read_shop(_PROJECT / "conf" / "shop.toml")
    texts = {name: root.joinpath(name).read_text(encoding="utf-8") for name in names}
    contents = [*read_contents(root, names), content_of(WITNESS, _WITNESS)]
    return Base(Manual(contents, shop, DataFiles(root)), {**texts, WITNESS: _WITNESS})


def content_of(name: str, text: str) -> Content:
    """Read a page's text; one that is no UTF-8 as it is."""
    return build(read_page(raw_of(text), name))


def raw_of(text: str) -> bytes:
    """Return a page's bytes; a lone surrogate stands for a byte that is no UTF-8."""
    return text.encode("utf-8", "surrogateescape")


@dataclass(frozen=True)
class Spoilt:
    """A manual one of whose pages is changed by some edits."""

    base: str
    page: str
    edits: tuple[Edit, ...]
    byte: tuple[int, int] | None = None

    @property
    def before(self) -> Manual:
        """The manual before the edits."""
        return bases()[self.base].manual

    @property
    def text(self) -> str:
        """The text of the page after the edits."""
        texts = bases()[self.base].texts
        donors = sorted(set(texts) - {WITNESS})
        donor = donors[len(self.edits[0].text) % len(donors)] if self.edits else donors[0]
        text = edited(texts[self.page], texts[donor], self.edits)
        if self.byte is None:
            return text
        at = self.byte[0] % (len(text) + 1)
        return text[:at] + chr(0xDC00 + self.byte[1]) + text[at:]

    @property
    def after(self) -> Manual:
        """The manual after the edits, read anew."""
        return self.before.with_pages([content_of(self.page, self.text)])


@st.composite
def spoilt(draw: st.DrawFn, names: tuple[str, ...] = ()) -> Spoilt:
    """One page of one of the manuals (of those named, if any are) after one to six edits."""
    base = draw(st.sampled_from(names or tuple(bases())))
    page = draw(st.sampled_from(sorted(set(bases()[base].texts) - {WITNESS})))
    edits = tuple(draw(st.lists(EDITS, min_size=1, max_size=6)))
    odd_byte = st.tuples(st.integers(0, 9000), st.integers(0x80, 0xFF))
    byte = draw(odd_byte) if draw(st.integers(0, 19)) == 0 else None
    return Spoilt(base, page, edits, byte)
