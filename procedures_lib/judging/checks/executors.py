"""Checks a manual through any executor: a process pool on one machine, or one of many machines.

First every page is read, a batch at a time, and its outline comes back. Then every page is checked,
a batch at a time, by a worker that gets the texts of what the batch depends on and the outlines of
the rest. Only texts, outlines and findings travel. The findings are those of
:func:`procedures_lib.judging.checks.check_manual`, in the same order.
"""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from procedures_lib.findings import Finding
from procedures_lib.judging.checks.mentions import leans_on, roles_of, things
from procedures_lib.judging.checks.registry import check_alone, check_whole
from procedures_lib.judging.witness import roles_in, roles_of_text
from procedures_lib.language.entities.builder import HEADS, build
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.work import Content, Step
from procedures_lib.language.reading.page import Block, Page
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import UNREAD, DataFiles, page_names, raw_of, uncollected
from procedures_lib.manual.shop import Shop

if TYPE_CHECKING:
    from concurrent.futures import Executor


def outline(content: Content) -> Content:
    """Return a page's heads and things, what its steps do, and what could not be read."""
    whole = content.page
    rules = tuple(role for role in roles_of(content) if role.name == "rule")
    own = next((each for each in content.entities if each.KIND in HEADS), None)
    stated = roles_of_text(content, own) if own else ()
    rules = (*rules, *(role for role in stated if role.name == "q"))
    unread = tuple(found for found in whole.findings if found.check in UNREAD)
    page = Page(whole.name, whole.title, sections=whole.sections, pointers=whole.pointers,
                settings=whole.settings, findings=() if whole.blocks else unread,
                roles=rules)  # fmt: skip
    lost, lost_heads, damaged = content.lost, content.lost_heads, content.damaged
    gaps = (*content.findings, *whole.findings) if lost or lost_heads or damaged else ()
    return Content(page, content.entities, _deeds(content), content.expects, lost=lost,
                   lost_heads=lost_heads, damaged=damaged, findings=gaps)  # fmt: skip


def _deeds(content: Content) -> tuple[tuple[str, tuple[Step, ...]], ...]:
    """The steps of a page without their text, but for those that say nothing else of the work."""
    return tuple(
        (head, tuple(replace(step, block=_bare(step), signals=()) for step in steps))
        for head, steps in content.steps
    )


def _bare(step: Step) -> Block:
    block = step.block
    body = "" if step.actions else block.body
    stated = tuple(role for role in roles_in(block) if role.name == "q")
    return Block(block.name, block.argument, block.place, block.end, body=body, roles=stated)


T = TypeVar("T")

LEAST = 40
"""Pages in a batch, or more: a car's page is read once for many of its procedures."""

MOST_BATCHES = 64
"""No more batches than that: each carries the outlines of all pages."""

Text = tuple[str, "bytes | Content"]
"""A page's name and its text, or, of a file that can't be opened, what is said of it."""


@dataclass(frozen=True, slots=True)
class Outlines:
    """The outlines of all pages, packed once; a worker unpacks them once."""

    digest: bytes
    packed: bytes

    def __hash__(self) -> int:
        """By the digest alone."""
        return hash(self.digest)


@dataclass(frozen=True, slots=True)
class Batch:
    """Pages to be checked, the texts of all that they depend on, and the outlines of all pages."""

    pages: tuple[str, ...]
    texts: tuple[Text, ...]
    outlines: Outlines
    shop: Shop


def check_through(
    executor: Executor,
    root: Path,
    shop: Shop,
    progress: Callable[[int], None] = lambda pages: None,
    outlined: Callable[[Manual], None] = lambda manual: None,
) -> list[Finding]:
    """Read and check every page below ``root``; ``progress`` is told of pages read, then checked.

    ``outlined`` is given the manual of the outlines, which has all that
    :mod:`procedures_lib.judging.unjudged` asks about.
    Pages with dyno sessions are checked here: their pulls lie in files beside them.
    """
    texts = {name: raw_of(name, root) for name in page_names(root)}
    outlines = _outlines(executor, list(texts.items()), progress)
    manual = Manual(outlines, shop, DataFiles(root))
    outlined(manual)
    far, here = _apart(manual)
    found = set(check_whole(manual))
    packed = _pack(manual)
    batches = [_batch(pages, texts, manual, packed) for pages in _cut(_by_car(far, manual))]
    for batch, findings in zip(batches, executor.map(check_batch, batches), strict=True):
        found.update(findings)
        progress(len(batch.pages))
    if here:
        found.update(check_batch(_batch(here, texts, manual, packed), DataFiles(root)))
        progress(len(here))
    return sorted(found)


def check_batch(batch: Batch, files: DataFiles | None = None) -> list[Finding]:
    """Check the pages of one batch."""
    with uncollected():
        contents = {content.page.name: content for content in _unpack(batch.outlines)}
        contents |= {name: _read(name, text) for name, text in batch.texts}
        manual = Manual((contents[name] for name in sorted(contents)), batch.shop, files)
        return [finding for page in batch.pages for finding in check_alone(manual, page)]


def read_outlines(texts: Sequence[Text]) -> list[Content]:
    """Read some pages, and return their outlines."""
    with uncollected():
        return [outline(_read(name, text)) for name, text in texts]


@lru_cache(maxsize=512)
def _read(name: str, text: bytes | Content) -> Content:
    """Read and type a page; a worker that gets it again has it still."""
    return build(read_page(text, name)) if isinstance(text, bytes) else text


def _outlines(
    executor: Executor, texts: Sequence[Text], progress: Callable[[int], None]
) -> Iterator[Content]:
    for contents in executor.map(read_outlines, list(_cut(texts))):
        yield from contents
        progress(len(contents))


def _apart(manual: Manual) -> tuple[list[str], list[str]]:
    """Return the pages that any worker can check, and those that need the files beside them."""
    here = [page for page in manual.contents if things(manual, page, DynoSession)]
    return [page for page in manual.contents if page not in set(here)], here


def _by_car(pages: Iterable[str], manual: Manual) -> list[str]:
    """Sort pages so that those which see the same other pages come together."""
    return sorted(pages, key=lambda page: (manual.scope(page).pages[:0:-1], page))


def _cut(items: Sequence[T]) -> Iterator[tuple[T, ...]]:
    size = max(LEAST, -(-len(items) // MOST_BATCHES))
    for start in range(0, len(items), size):
        yield tuple(items[start : start + size])


def _batch(
    pages: Sequence[str], texts: dict[str, bytes | Content], manual: Manual, packed: Outlines
) -> Batch:
    leant_on = set().union(*(leans_on(manual, page) for page in pages))
    whole = sorted(leant_on & manual.contents.keys())
    return Batch(tuple(pages), tuple((name, texts[name]) for name in whole), packed, manual.shop)


def _pack(manual: Manual) -> Outlines:
    outlines = tuple(
        replace(content, steps=(), expects=(), findings=()) for content in manual.contents.values()
    )
    packed = pickle.dumps(outlines, pickle.HIGHEST_PROTOCOL)
    return Outlines(hashlib.blake2b(packed, digest_size=16).digest(), packed)


@lru_cache(maxsize=2)
def _unpack(outlines: Outlines) -> tuple[Content, ...]:
    """Unpack what :func:`_pack` packed, in this project's own processes."""
    found: tuple[Content, ...] = pickle.loads(outlines.packed)  # noqa: S301
    return found
