"""Publishing: links, pictures, labels and footnotes, and the places that they can lead to."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from procedures_lib.findings import Finding, Place
from procedures_lib.judging.checks.publishing import file_fault, outside, path_from
from procedures_lib.language.reading.markdown import inline_tokens
from procedures_lib.language.reading.page import Page, Pointer
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import ENDING
from procedures_lib.spelling import suggestion

DEEPEST = 3
"""Headings down to this level have a name that a link can use."""

_LEFT_OUT = re.compile(r"[^\w一-鿿\- ]")
_SHOWN = frozenset({"text", "text_special", "code_inline", "myst_role", "image"})


def anchors_of(page: Page) -> frozenset[str]:
    """Return the names that may stand behind ``#`` in a link to a page."""
    found = {label_name(p.target) for p in page.pointers if p.kind == "label"}
    taken: set[str] = set()
    for section in page.sections:
        if section.level <= DEEPEST:
            taken.add(_unique(slug(section.title), taken))
    return frozenset(found | taken)


def slug(title: str) -> str:
    """Return the name of a heading: its words in small letters, joined by hyphens."""
    words = "".join(
        " " if token.type in {"softbreak", "hardbreak"} else token.content
        for token in inline_tokens(title)
        if token.type in _SHOWN or token.type.endswith("break")
    )
    return _LEFT_OUT.sub("", words.lower()).replace(" ", "-")


def _unique(name: str, taken: set[str]) -> str:
    found, n = name, 1
    while found in taken:
        found, n = f"{name}-{n}", n + 1
    return found


def label_name(label: str) -> str:
    """Return a label as it is compared: neither capitals nor the width of gaps count."""
    return " ".join(label.lower().split())


_OF_THE_SITE = frozenset({"genindex", "modindex", "search"})
"""Labels that the site has already."""


def links(manual: Manual, page: str) -> Iterator[Finding]:
    """Find where the links and pictures of a page lead to nothing, or out of the manual."""
    found = manual.contents[page].page
    shared = manual.is_common(page)
    for pointer in found.pointers:
        place = Place(page, pointer.line)
        if shared and pointer.inside == "step":
            yield from _in_common_steps(pointer, place)
        if pointer.kind == "picture":
            yield from _of_file(manual, page, pointer.target, place, picture=True)
        elif pointer.kind == "link":
            yield from _link(manual, page, pointer, place)


def _in_common_steps(pointer: Pointer, place: Place) -> Iterator[Finding]:
    """What stands in common steps is shown on other pages, in other folders."""
    if pointer.kind in {"label", "footnote", "footnote-mark"}:
        said = f"the {pointer.kind.split('-')[0]} `{pointer.target}` would stand on several pages"
        yield Finding(place, "stands-twice", said, "say it in the step's own words")
    elif not pointer.target.startswith(("/", "#")):
        said = f"`{pointer.target}` is seen from other pages too"
        hint = f"begin the path at the manual's folder: `/{path_from(place.page, pointer.target)}`"
        yield Finding(place, "broken-link", said, hint)
    elif pointer.target.startswith("#"):
        said = f"`{pointer.target}` would be looked for on other pages"
        yield Finding(place, "broken-link", said, f"write `/{place.page}{pointer.target}`")


def _of_file(
    manual: Manual, page: str, target: str, place: Place, picture: bool = False
) -> Iterator[Finding]:
    if manual.files is not None:
        fault = file_fault(manual.files.root, page, target, picture)
    else:
        fault = None if path_from(page, target) else outside(target)
    if fault is not None:
        yield Finding(place, *fault)


def _link(manual: Manual, page: str, pointer: Pointer, place: Place) -> Iterator[Finding]:
    path, _, anchor = pointer.target.partition("#")
    other = path_from(page, path) if path else page
    if not pointer.target:
        yield Finding(place, "broken-link", "a link that leads nowhere", "name a page")
    elif not other:
        yield Finding(place, *outside(pointer.target))
    elif other in manual.contents:
        if (anchor or not path) and anchor not in _anchors(manual, other):
            said = f"`{other}` has no heading `#{anchor}`"
            yield Finding(place, "broken-link", said, _near(manual, other, anchor))
    elif manual.files is not None and manual.whole:
        if other.endswith(ENDING):
            said = f"there is no page `{other}`"
            yield Finding(place, "broken-link", said, suggestion(path, manual.contents))
        else:
            yield from _of_file(manual, page, path, place)


def _anchors(manual: Manual, page: str) -> frozenset[str]:
    return manual.once(("anchors", page), lambda: anchors_of(manual.contents[page].page))


def _near(manual: Manual, page: str, anchor: str) -> str:
    return suggestion(anchor, _anchors(manual, page)) or "leave out what stands from `#` on"


def labels(manual: Manual, page: str) -> Iterator[Finding]:
    """Find labels and footnotes that stand twice, and footnotes without a mark or a text."""
    pointers = manual.contents[page].page.pointers
    here = [p for p in pointers if p.kind in {"label", "footnote"}]
    often = Counter(_name(p) for p in here)
    everywhere = _labels(manual) if here else Counter()
    for pointer in here:
        name, place = _name(pointer), Place(page, pointer.line)
        twice = often[name] > 1 or (pointer.kind == "label" and everywhere[name] > 1)
        if twice or (pointer.kind == "label" and name in _OF_THE_SITE):
            said = f"the {pointer.kind} `{pointer.target}` stands twice"
            yield Finding(place, "stands-twice", said, "give one of them another name")
    yield from _footnotes(pointers, page)


def _footnotes(pointers: tuple[Pointer, ...], page: str) -> Iterator[Finding]:
    notes = {_name(p) for p in pointers if p.kind == "footnote"}
    marks = {_name(p) for p in pointers if p.kind == "footnote-mark"}
    for pointer in pointers:
        place, name = Place(page, pointer.line), _name(pointer)
        if pointer.kind == "footnote-mark" and name not in notes:
            said = f"no footnote `[^{pointer.target}]` stands on this page"
            yield Finding(place, "loose-footnote", said, f"write it: `[^{pointer.target}]: …`")
        elif pointer.kind == "footnote" and name not in marks:
            said = f"nothing leads to the footnote `[^{pointer.target}]`"
            hint = f"set its mark `[^{pointer.target}]` where it belongs, or remove it"
            yield Finding(place, "loose-footnote", said, hint)


def _labels(manual: Manual) -> Counter[str]:
    return manual.once(
        ("labels",),
        lambda: Counter(
            _name(pointer)
            for content in manual.contents.values()
            for pointer in content.page.pointers
            if pointer.kind == "label"
        ),
    )


def _name(pointer: Pointer) -> str:
    return label_name(pointer.target)


def headings(manual: Manual, page: str) -> Iterator[Finding]:
    """Find headings that leave out a level."""
    level = 0
    for section in manual.contents[page].page.sections:
        if section.level > level + 1:
            said = f"a heading of level {section.level} below one of level {level}"
            if not level:
                said = f"the page begins with a heading of level {section.level}"
            hint = f"write `{'#' * (level + 1)} {section.title}`"
            yield Finding(Place(page, section.line), "heading-skips", said, hint)
        level = section.level
