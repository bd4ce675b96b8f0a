"""The Sphinx extension: renders what the library has read; it holds no truth of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.site.blocks import add_blocks
from procedures_lib.site.capitals import add_capitals
from procedures_lib.site.changed import add_changed
from procedures_lib.site.exports import add_exports
from procedures_lib.site.find import add_find
from procedures_lib.site.inspection import add_inspection
from procedures_lib.site.nodes import add_nodes
from procedures_lib.site.offline import add_offline
from procedures_lib.site.parser import add_parser
from procedures_lib.site.rebuild import add_rebuilding
from procedures_lib.site.roles import add_roles
from procedures_lib.site.schema_files import add_schemas
from procedures_lib.site.shop_settings import add_shop_settings
from procedures_lib.site.state import Site, add_site
from procedures_lib.site.theme import setup as add_theme
from procedures_lib.site.warnings import add_warnings
from procedures_lib.site.wide import add_wide_tables

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
    add_warnings(app, site)
    add_schemas(app)
    add_find(app, site)
    add_exports(app, site)
    add_wide_tables(app)
    add_capitals(app)
    add_offline(app, site)
    add_inspection(app)
    return {"version": "1", "env_version": 5, "parallel_read_safe": True,
            "parallel_write_safe": True}  # fmt: skip
