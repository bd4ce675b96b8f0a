"""The manual beside Sphinx: read anew each time, its findings as warnings, its shop's settings.

``conf.py`` of a manual need not read ``shop.toml``: a fault in that file is a finding with its
line, and no reason for Sphinx not to start. What ``conf.py`` sets itself stands above the shop's.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from logging import LogRecord, getLogger
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sphinx.project import Project
from sphinx.util import logging
from sphinx.util.matching import Matcher

from procedures_lib.engineering.quantities.conversion import TORQUE_LEADS
from procedures_lib.findings import Finding, Level
from procedures_lib.fronts.site.change_marks import keep_marks
from procedures_lib.judging.checks import check_manual
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import ENDING, UNREAD
from procedures_lib.manual.shop import SHOP_PAGE, Shop, read_shop

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.config import Config
    from sphinx.environment import BuildEnvironment


_logger = logging.getLogger(__name__)


def add_warnings(app: Sphinx, site: Site) -> None:
    """Have all findings reported after the manual is read, whether or not pages are rebuilt."""

    getLogger("sphinx.sphinx.directives.other").addFilter(_says_no_more_than_the_checks)

    def report(app: Sphinx) -> None:
        for finding in site.findings:
            _report(finding, Path(app.confdir))

    app.connect("builder-inited", report, priority=600)


def _says_no_more_than_the_checks(record: LogRecord) -> bool:
    """Let through what Sphinx says of contents, but for a pattern that finds no page yet.

    Sphinx gives that warning no type by which `suppress_warnings` could know it.
    """
    return getattr(record, "subtype", "") != "empty_glob"


def _report(finding: Finding, settings: Path) -> None:
    """Log an error as a warning of Sphinx, which ``-W`` makes fatal, and a warning as a note.

    A finding of level warning does not fail a build, so it must not count as one of Sphinx's.
    """
    where: str | tuple[str, int] = (finding.place.page.removesuffix(".md"), finding.place.line)
    if finding.place.page == SHOP_PAGE:
        where = f"{settings / SHOP_PAGE}:{finding.place.line}"
    variants = f" [{finding.variants}]" if finding.variants else ""
    hint = f" ({finding.hint})" if finding.hint else ""
    text = f"{finding.message}{variants}{hint}"
    if finding.level is Level.ERROR:
        _logger.warning("%s", text, location=where, type="procedures", subtype=finding.check)
    else:
        _logger.info("%s: note: %s [procedures.%s]", finding.place, text, finding.check)


def add_shop_settings(app: Sphinx) -> None:
    """Have the settings made before any page is read, so that a change of them rewrites pages."""
    app.connect("config-inited", _take_over)


def _take_over(app: Sphinx, config: Config) -> None:
    path = Path(app.confdir) / SHOP_PAGE
    if not path.exists():
        return
    shop, _ = read_shop(path)  # what is wrong in it is told when the manual is read
    for name, value in _settings(shop).items():
        if _is_left_open(config, name):
            setattr(config, name, value)
    if "notice" not in config.html_theme_options:
        config.html_context = {"theme_notice": shop.notice, **config.html_context}
    if shop.torque_unit != TORQUE_LEADS:
        unit = shop.torque_unit.replace("·", "-")
        config.html_context = {"shop_torque_unit": unit, **config.html_context}
    if ways := shop.remark_ways.model_dump(exclude_defaults=True):
        config.html_context = {"shop_remark_ways": ways, **config.html_context}


def _settings(shop: Shop) -> dict[str, str]:
    return {
        "project": shop.name,
        "html_title": f"{shop.name} · {shop.manual}",
        "html_short_title": shop.manual,
    }


def _is_left_open(config: Config, name: str) -> bool:
    """Tell whether a setting has the value that Sphinx gives when nobody sets it."""
    default: Any = config.values[name].default
    value: Any = getattr(config, name)
    return bool(value == (default(config) if callable(default) else default))


@dataclass(frozen=True, slots=True)
class _Given:
    """A manual that was read and checked already, from the folder of its pages."""

    pages: Path
    manual: Manual
    findings: tuple[Finding, ...]
    whole: bool


_OF_CONTENTS = frozenset({"broken-link", "endless-contents", "stands-twice"})
"""What is found in lists of contents."""

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
        self._astray: frozenset[tuple[str, int]] = frozenset()

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
        self._astray = frozenset(
            (f.place.page, f.place.line) for f in self.findings if f.check in _OF_CONTENTS
        )
        keep_marks(self.manual, app)

    def tells_of(self, page: str) -> bool:
        """Whether the checks have found an error on a page, which is reported already."""
        return page in self._told

    def leads_astray(self, page: str, lines: Iterable[int]) -> bool:
        """Whether contents on these lines lead to nothing, or back: Sphinx can't have them."""
        return any((page, line) in self._astray for line in lines)

    @property
    def shop(self) -> Shop:
        """The shop of the manual."""
        return self.manual.shop


class Pages(Project):
    """What Sphinx takes for the pages of the source folder: those that the reader has found.

    Sphinx would look for them itself, in hidden folders and along links out of the manual as well.
    """

    def __init__(self, other: Project, names: tuple[str, ...]) -> None:
        super().__init__(other.srcdir, other.source_suffix)
        self.restore(other)
        self.names = names

    def discover(
        self, exclude_paths: Iterable[str] = (), include_paths: Iterable[str] = ("**",)
    ) -> set[str]:
        """Take the pages, but for those that ``conf.py`` leaves out."""
        left_out, taken = Matcher(list(exclude_paths)), Matcher(list(include_paths))
        names = [name for name in self.names if taken(name) and not left_out(name)]
        paths = {name.removesuffix(ENDING): Path(name) for name in names}
        self.docnames.clear()
        self.docnames.update(paths)
        self._docname_to_path = paths
        self._path_to_docname = {path: name for name, path in paths.items()}
        return self.docnames


def add_site(app: Sphinx, site: Site) -> None:
    """Have the manual read once at the start of every build, and all but its pages passed over."""

    def pass_over(_app: Sphinx, env: BuildEnvironment, docnames: list[str]) -> None:
        """Leave out what Sphinx would stop at: findings tell of it, other pages are built."""
        unreadable = {
            name.removesuffix(ENDING)
            for name, content in site.manual.contents.items()
            if any(finding.check in UNREAD for finding in content.page.findings)
        }
        docnames[:] = [name for name in docnames if name not in unreadable]
        env.project.docnames -= unreadable

    def only_pages(app: Sphinx) -> None:
        app.project = app.env.project = Pages(app.project, tuple(site.manual.contents))

    app.connect("builder-inited", site.load)
    app.connect("builder-inited", only_pages)
    app.connect("env-before-read-docs", pass_over)
