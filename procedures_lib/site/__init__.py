"""The Sphinx extension: renders what the library has read; it holds no truth of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.site.blocks import add_blocks
from procedures_lib.site.nodes import add_nodes
from procedures_lib.site.rebuild import add_rebuilding
from procedures_lib.site.roles import add_roles
from procedures_lib.site.state import Site, add_site
from procedures_lib.site.warnings import add_warnings

if TYPE_CHECKING:
    from sphinx.application import Sphinx


def setup(app: Sphinx) -> dict[str, Any]:
    """Register the extension with Sphinx."""
    site = Site()
    add_site(app, site)
    add_nodes(app)
    add_blocks(app, site)
    add_roles(app, site)
    add_rebuilding(app, site)
    add_warnings(app, site)
    return {"version": "1", "env_version": 1, "parallel_read_safe": True,
            "parallel_write_safe": True}  # fmt: skip
