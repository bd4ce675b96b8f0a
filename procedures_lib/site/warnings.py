"""Findings as Sphinx warnings, at the page and line that they are about."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sphinx.util import logging

from procedures_lib.findings import Finding, Level
from procedures_lib.manual.shop import SHOP_PAGE

if TYPE_CHECKING:
    from sphinx.application import Sphinx

    from procedures_lib.site.state import Site

_logger = logging.getLogger(__name__)


def add_warnings(app: Sphinx, site: Site) -> None:
    """Have all findings reported after the manual is read, whether or not pages are rebuilt."""

    def report(app: Sphinx) -> None:
        for finding in site.findings:
            _report(finding, Path(app.confdir))

    app.connect("builder-inited", report, priority=600)


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
