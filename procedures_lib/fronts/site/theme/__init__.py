"""The theme `bench`: its templates, scripts and styles, and its registration with Sphinx."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sphinx.application import Sphinx


THEME = Path(__file__).with_name("bench")
"""The folder of the theme."""


def setup(app: Sphinx) -> dict[str, Any]:
    """Register the theme with Sphinx under the name of its folder."""
    app.add_html_theme(THEME.name, THEME)
    return {"version": "1", "parallel_read_safe": True, "parallel_write_safe": True}
