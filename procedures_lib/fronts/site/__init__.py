"""The Sphinx extension: renders what the library has read; it holds no truth of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.fronts.site.change_marks import add_changed
from procedures_lib.fronts.site.contents import add_contents
from procedures_lib.fronts.site.design import add_design
from procedures_lib.fronts.site.directives import add_blocks
from procedures_lib.fronts.site.files import add_exports, add_schemas
from procedures_lib.fronts.site.inspection import add_inspection
from procedures_lib.fronts.site.landing import add_landing
from procedures_lib.fronts.site.missing_page import add_missing_page
from procedures_lib.fronts.site.nodes import add_nodes
from procedures_lib.fronts.site.offline import add_offline
from procedures_lib.fronts.site.parser import add_parser, add_wide_tables
from procedures_lib.fronts.site.pictures import add_pictures
from procedures_lib.fronts.site.rebuild import add_rebuilding
from procedures_lib.fronts.site.roles import add_capitals, add_roles
from procedures_lib.fronts.site.search import add_find
from procedures_lib.fronts.site.state import Site, add_shop_settings, add_site, add_warnings
from procedures_lib.fronts.site.theme import setup as add_theme

if TYPE_CHECKING:
    from sphinx.application import Sphinx


def setup(app: Sphinx) -> dict[str, Any]:
    """Register the extension with Sphinx."""
    app.setup_extension("myst_parser")  # whose parser is replaced
    add_theme(app)
    site = Site()
    add_shop_settings(app)
    add_site(app, site)
    add_parser(app, site)
    add_changed(app)
    add_nodes(app)
    add_blocks(app, site)
    add_roles(app, site)
    add_rebuilding(app, site)
    add_landing(app, site)
    add_warnings(app, site)
    add_schemas(app)
    add_find(app, site)
    add_missing_page(app, site)
    add_design(app)
    add_exports(app, site)
    add_wide_tables(app)
    add_capitals(app)
    add_contents(app)
    add_pictures(app)
    add_offline(app, site)
    add_inspection(app)
    return {"version": "1", "env_version": 11, "parallel_read_safe": True,
            "parallel_write_safe": True}  # fmt: skip
