"""The page of a superseded revision: what was published, without scripts, and marked as old.

It can be read and printed, not worked by: no step can be ticked, and nothing of it is kept on a
phone. What it shows (style, pictures, files beside it) is kept with it; links to other pages lead
to the manual as it is now.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from html import escape
from html.parser import HTMLParser
from posixpath import basename, dirname, join, normpath, relpath, splitext
from urllib.parse import quote, unquote, urlsplit

from procedures_lib.fronts.cli.publishing.site_list import Content
from procedures_lib.manual.folder import SUPERSEDED, why_not_published

MARK, STRIP = "superseded_note", "superseded_strip"
"""Ids that no heading has: those hold no underscore."""

STYLE = f"{SUPERSEDED}mark.css"
"""The style of what says so; all else of a page has the style that it was published with."""

STYLE_TEXT = """\
#superseded_strip { position: sticky; top: 0; z-index: 9; max-width: none; margin: 0;
  padding: 0.6rem 1rem; background: #8a1c1c; color: #fff; font-weight: bold; text-align: center }
#superseded_strip a { color: inherit; text-decoration: underline }
html { scroll-padding-top: 3.5rem }
@media print { #superseded_strip { position: static; background: none; color: #000 } }
@page { @top-center { content: "Superseded" } }
"""
_ADDRESSES = ("href", "src", "action")
_WIDTHS = frozenset({"srcset", "sizes"})
"""A picture is kept in one width."""
_LINKS_KEPT = frozenset({"stylesheet", "icon"})
Resolve = Callable[[str], str | None]


@dataclass(frozen=True, slots=True)
class Mark:
    """What says on a page that it is superseded, as HTML: in its head, above all, and first."""

    head: str
    strip: str
    note: str


@dataclass
class KeptPage:
    """A page as it is kept: its text, the files it needs by the name they get, the pages it names.

    Files are given by their path in the site that they come from; ``links`` are paths of pages.
    """

    text: str = ""
    files: dict[str, str] = field(default_factory=dict)
    links: set[str] = field(default_factory=set)


def kept_page(
    text: str, page: str, place: str, old: Mapping[str, Content], now: AbstractSet[str], mark: Mark
) -> KeptPage:
    """Return what is kept of a page, to stand at ``place``.

    ``old`` is the list of the site that the page is of; ``now`` holds the paths of the new one.
    """
    kept = KeptPage()

    def resolve(address: str) -> str | None:
        found = _target(address, page)
        if found is None:
            return address
        target, tail = found
        if target == page:
            return tail or "#"
        if target.endswith(".html"):
            return _link(target, tail, place, now, kept)
        name = f"{SUPERSEDED}files/{old[target].hash}{splitext(target)[1]}" if target in old else ""
        if not name or why_not_published(name):
            return None
        kept.files[name] = target
        return relpath(name, dirname(place))

    kept.text = _rewritten(text, resolve, mark, fresh=True)
    return kept


def marked_anew(text: str, place: str, now: AbstractSet[str], mark: Mark) -> KeptPage:
    """Return a page that is kept already with another mark, and without links that lead nowhere."""
    kept = KeptPage()

    def resolve(address: str) -> str | None:
        target, tail = _target(address, place) or ("", "")
        named = target.endswith(".html") and not target.startswith(SUPERSEDED)
        return _link(target, tail, place, now, kept) if named else address

    kept.text = _rewritten(text, resolve, mark, fresh=False)
    return kept


def _link(target: str, tail: str, place: str, now: AbstractSet[str], kept: KeptPage) -> str | None:
    if target not in now:
        return None
    kept.links.add(target)
    return quote(relpath(target, dirname(place))) + tail


def _target(address: str, page: str) -> tuple[str, str] | None:
    """The path in the site that an address on a page leads to, and its fragment; None elsewhere."""
    parts = urlsplit(address)
    if parts.scheme or parts.netloc or not parts.path:
        return None
    target = normpath(join(dirname(page), unquote(parts.path)))
    return target, f"#{parts.fragment}" if parts.fragment else ""


def _rewritten(text: str, resolve: Resolve, mark: Mark, fresh: bool) -> str:
    first = {"title": "Superseded: " if fresh else ""}
    after = {"title": mark.head}
    if 'class="skip-link"' in text:  # the first link of a page
        after["a"] = mark.strip
    else:
        first["body"] = mark.strip
    place = "main" if "<main" in text else "body"
    first[place] = first.get(place, "") + mark.note
    rewriter = _Rewriter(resolve, first, after)
    rewriter.feed(text)
    rewriter.close()
    return "".join(rewriter.out)


class _Rewriter(HTMLParser):
    """Passes a page on but for scripts, what is for programs, and addresses."""

    def __init__(self, resolve: Resolve, first: dict[str, str], after: dict[str, str]) -> None:
        """Take what an address becomes, None for none; what comes first in, and what after, the
        first element of a name.
        """
        super().__init__(convert_charrefs=False)
        self.out: list[str] = []
        self._resolve, self._first, self._next = resolve, first, after
        self._skipping = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._start(tag, dict(attrs), "")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._start(tag, dict(attrs), " /")

    def _start(self, tag: str, attrs: dict[str, str | None], end: str) -> None:
        if self._skipping:
            return
        if tag == "script" or attrs.get("id") in (MARK, STRIP):
            self._skipping = tag
        elif not _is_for_programs(tag, attrs):
            self.out.append(self._tag(tag, attrs, end))
            self.out.append(self._first.pop(tag, ""))

    def _tag(self, tag: str, attrs: dict[str, str | None], end: str) -> str:
        new = {name: value for name, value in attrs.items() if name not in _WIDTHS}
        for name in _ADDRESSES:
            address = attrs.get(name)
            if address is not None:
                found = self._resolve(address)
                new.pop(name) if found is None else new.update({name: found})
                if "download" in new and not new["download"]:
                    new["download"] = basename(urlsplit(address).path)
        if new == attrs:
            return self.get_starttag_text() or ""
        words = (name if v is None else f'{name}="{escape(v)}"' for name, v in new.items())
        return f"<{' '.join((tag, *words))}{end}>"

    def handle_endtag(self, tag: str) -> None:
        if not self._skipping:
            self.out.append(f"</{tag}>{self._next.pop(tag, '')}")
        elif tag == self._skipping:
            self._skipping = ""

    def _pass_on(self, text: str) -> None:
        if not self._skipping:
            self.out.append(text)

    def handle_data(self, data: str) -> None:
        self._pass_on(data)

    def handle_entityref(self, name: str) -> None:
        self._pass_on(f"&{name};")

    def handle_charref(self, name: str) -> None:
        self._pass_on(f"&#{name};")

    def handle_decl(self, decl: str) -> None:
        self._pass_on(f"<!{decl}>")


def _is_for_programs(tag: str, attrs: Mapping[str, str | None]) -> bool:
    if tag == "link":
        own = (attrs.get("href") or "").endswith("/mark.css")
        return own or attrs.get("rel") not in _LINKS_KEPT
    return tag == "meta" and attrs.get("name") == "robots"
