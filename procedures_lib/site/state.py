"""The manual beside Sphinx: read anew before Sphinx reads, never kept in its environment."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.checks import check_manual
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import Shop, read_shop

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.environment import BuildEnvironment

    from procedures_lib.findings import Finding


class Site:
    """What the directives of one build render: the manual, the shop, and the findings."""

    def __init__(self) -> None:
        self.manual = Manual(())
        self.findings: list[Finding] = []

    def load(self, app: Sphinx) -> None:
        """Read and check the manual in the source folder of this build."""
        shop, found = read_shop(Path(app.confdir) / "shop.toml")
        self.manual = Manual.read(Path(app.srcdir), shop)
        self.findings = [*found, *check_manual(self.manual)]

    @property
    def shop(self) -> Shop:
        """The shop of the manual."""
        return self.manual.shop


def add_site(app: Sphinx, site: Site) -> None:
    """Have the manual read once at the start of every build, and unreadable pages passed over."""

    def pass_over(_app: Sphinx, env: BuildEnvironment, docnames: list[str]) -> None:
        """Leave out what Sphinx would stop at: findings tell of it, other pages are built."""
        unreadable = {
            finding.place.page.removesuffix(".md")
            for finding in site.findings
            if finding.check == "unreadable-page"
        }
        docnames[:] = [name for name in docnames if name not in unreadable]
        env.project.docnames -= unreadable

    app.connect("builder-inited", site.load)
    app.connect("env-before-read-docs", pass_over)
