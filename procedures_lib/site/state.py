"""The manual beside Sphinx: read anew before Sphinx reads, never kept in its environment."""

from __future__ import annotations

from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.checks import check_manual
from procedures_lib.findings import Level
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import ENDING
from procedures_lib.manual.shop import Shop, read_shop
from procedures_lib.site.changed import keep_marks

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sphinx.application import Sphinx
    from sphinx.environment import BuildEnvironment

    from procedures_lib.findings import Finding


@dataclass(frozen=True, slots=True)
class _Given:
    """A manual that was read and checked already, from the folder of its pages."""

    pages: Path
    manual: Manual
    findings: tuple[Finding, ...]
    whole: bool


_GIVEN: ContextVar[_Given | None] = ContextVar("given", default=None)


@contextmanager
def given(
    pages: Path, manual: Manual, findings: Sequence[Finding], whole: bool = True
) -> Iterator[None]:
    """Have builds of this folder's pages take the manual as it is, with what was found in it.

    Whoever gives it has read it just now: a page that changes before Sphinx reads it is told as a
    block that is not the one expected. Without ``whole``, what is made of all pages together (the
    search index, the list for reading without a network, the schemas) stays as it was.
    """
    token = _GIVEN.set(_Given(pages.resolve(), manual, tuple(findings), whole))
    try:
        yield
    finally:
        _GIVEN.reset(token)


def is_whole() -> bool:
    """Tell whether this build makes what is made of all pages together."""
    known = _GIVEN.get()
    return known is None or known.whole


class Site:
    """What the directives of one build render: the manual, the shop, and the findings."""

    def __init__(self) -> None:
        self.manual = Manual(())
        self.findings: list[Finding] = []
        self._told: frozenset[str] = frozenset()

    def load(self, app: Sphinx) -> None:
        """Read and check the manual in the source folder of this build, unless it was given."""
        known = _GIVEN.get()
        if known is not None and known.pages == Path(app.srcdir).resolve():
            self.manual, self.findings = known.manual, list(known.findings)
        else:
            shop, found = read_shop(Path(app.confdir) / "shop.toml")
            self.manual = Manual.read(Path(app.srcdir), shop)
            self.findings = [*found, *check_manual(self.manual)]
        self._told = frozenset(f.place.page for f in self.findings if f.level is Level.ERROR)
        keep_marks(self.manual, app)

    def tells_of(self, page: str) -> bool:
        """Whether the checks have found an error on a page, which is reported already."""
        return page in self._told

    @property
    def shop(self) -> Shop:
        """The shop of the manual."""
        return self.manual.shop


def add_site(app: Sphinx, site: Site) -> None:
    """Have the manual read once at the start of every build, and all but its pages passed over."""

    def pass_over(_app: Sphinx, env: BuildEnvironment, docnames: list[str]) -> None:
        """Leave out what is no page of the manual, or can't be read: findings tell of it."""
        unreadable = {
            finding.place.page.removesuffix(ENDING)
            for finding in site.findings
            if finding.check == "unreadable-page"
        }
        known = {name.removesuffix(ENDING) for name in site.manual.contents} - unreadable
        docnames[:] = [name for name in docnames if name in known]
        env.project.docnames &= known

    app.connect("builder-inited", site.load)
    app.connect("env-before-read-docs", pass_over)
