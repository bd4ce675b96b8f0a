"""Runs Sphinx in this process and tells what it warned of."""

from __future__ import annotations

import io
import logging
import os
import re
from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from docutils.nodes import Node
from docutils.utils import get_source_line
from sphinx import builders
from sphinx.application import Sphinx
from sphinx.errors import ExtensionError, SphinxError, SphinxParallelError
from sphinx.util.console import nocolor
from sphinx.util.docutils import docutils_namespace, patch_docutils
from sphinx.util.parallel import ParallelTasks

from procedures_lib.fronts.cli.arguments import Folders, relative
from procedures_lib.fronts.cli.publishing.disk import disk_fault_in, disk_fault_of, disk_fault_told
from procedures_lib.fronts.cli.publishing.target import Target
from procedures_lib.fronts.cli.terminal import Refused

_COLOUR = re.compile(r"\x1b\[[\d;]*m")
_LINE = re.compile(r":\d*$")


@dataclass(frozen=True, slots=True)
class SphinxRun:
    """What became of a run: how many pages there are, and the warnings as text, "" for none.

    ``again`` holds the pages (docnames) that gave a warning; None when one of the warnings is
    about no page.
    """

    pages: int
    warnings: str
    again: frozenset[str] | None


def run_sphinx(
    folders: Folders,
    target: Target,
    again: AbstractSet[str],
    jobs: int,
    status: IO[str] | None,
    colour: bool,
    settings: Mapping[str, Any],
) -> SphinxRun:
    """Build the pages as HTML in the target's work folder.

    ``again`` are pages to read even if they have not changed; ``status`` gets Sphinx's progress,
    without ``colour`` in plain text; ``settings`` stand above those of ``conf.py``.
    :class:`Refused` when Sphinx can't start or go on; :class:`OSError` when the disk is full or
    may not be written to, which Sphinx may only warn of; an exception from inside an extension is
    raised as it is.
    """
    _check_there(folders)
    if not colour:
        nocolor()
    warnings = io.StringIO()
    try:
        with patch_docutils(folders.conf), docutils_namespace(), _no_failure_passed_over():
            app = Sphinx(
                folders.pages,
                folders.conf,
                target.html,
                target.doctrees,
                "html",
                confoverrides=dict(settings),
                status=status,
                warning=warnings,
                warningiserror=True,
                parallel=jobs,
            )
            return _build(app, again, warnings)
    except SphinxError as error:
        raise _behind(error, warnings) from error


def _check_there(folders: Folders) -> None:
    """Refuse a manual without settings of its site, or without the page that it opens with."""
    if not (folders.conf / "conf.py").is_file():
        raise Refused(
            f"{relative(folders.conf / 'conf.py')} does not exist: the site's settings belong there"
        )
    first = folders.pages / "index.md"
    if not first.is_file():
        raise Refused(
            f"{relative(first)} does not exist, and it is what a site opens with.\n"
            "Write it, with a title and a {toctree} of the pages below it."
        )


class _Tasks(ParallelTasks):
    """Work of several processes, of which no failure is passed over.

    Sphinx drops one that comes while it still hands work out, ends the other processes, and goes
    on: with pages that were not read, or not written.
    """

    failure: SphinxParallelError | None = None

    def _join_one(self) -> bool:
        try:
            return super()._join_one()
        except SphinxParallelError as error:
            self.failure = self.failure or error
            raise

    def join(self) -> None:
        """Wait for what is under way, and raise the first failure."""
        super().join()
        if self.failure is not None:
            raise self.failure


@contextmanager
def _no_failure_passed_over() -> Iterator[None]:
    names = vars(builders)
    names["ParallelTasks"] = _Tasks
    try:
        yield
    finally:
        names["ParallelTasks"] = ParallelTasks


def _behind(error: SphinxError, warnings: io.StringIO) -> Exception:
    """What to raise for an error of Sphinx: the disk's, an extension's, or :class:`Refused`."""
    fault = disk_fault_in(error)
    if fault is None and isinstance(error, SphinxParallelError):
        fault = disk_fault_told(error.message)
    if fault is not None:
        return fault
    cause = error.orig_exc if isinstance(error, ExtensionError) else None
    if cause is not None and not isinstance(cause, ImportError):
        return cause
    return Refused(f"{_plain(warnings)}{error.category}: {str(error).strip()}")


def _build(app: Sphinx, again: AbstractSet[str], warnings: io.StringIO) -> SphinxRun:
    def outdated(_app: Any, _env: Any, _added: Any, _changed: Any, removed: set[str]) -> list[str]:
        for docname in removed:
            for name in (f"{docname}.html", f"_sources/{docname}.md.txt"):
                app.outdir.joinpath(name).unlink(missing_ok=True)
        return sorted(again)

    app.connect("env-get-outdated", outdated)
    places = _Places(app.outdir)
    logging.getLogger("sphinx").addHandler(places)
    app.build()
    if places.fault is not None:
        raise places.fault
    if not app.statuscode:
        return SphinxRun(len(app.env.found_docs), "", frozenset())
    pages = {_page(location, app) for location in places.locations}
    known = None if "" in pages else frozenset(pages)
    return SphinxRun(len(app.env.found_docs), _plain(warnings), known)


class _Places(logging.Handler):
    """Remembers where each warning is about, and the first that is about the disk."""

    def __init__(self, root: Path) -> None:
        super().__init__(logging.WARNING)
        self.locations: list[Any] = []
        self.fault: OSError | None = None
        self._root = root

    def emit(self, record: logging.LogRecord) -> None:
        self.fault = self.fault or disk_fault_of(record, self._root)
        location = getattr(record, "location", None)
        if isinstance(location, Node):
            location = get_source_line(location)[0]
        self.locations.append(location)


def _page(location: Any, app: Sphinx) -> str:
    """The page that a warning is about; "" when that can't be told."""
    if isinstance(location, tuple):
        page = str(location[0])
    elif isinstance(location, str):
        path = _LINE.sub("", location)
        page = path if path in app.env.found_docs else app.env.path2doc(path) or ""
    else:
        return ""
    return page if page in app.env.found_docs else ""


def _plain(warnings: io.StringIO) -> str:
    """Warnings without colours, their paths relative to the current folder."""
    return _COLOUR.sub("", warnings.getvalue()).replace(f"{os.getcwd()}{os.sep}", "")
