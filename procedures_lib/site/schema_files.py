"""The site's ``schema/``: a JSON Schema for each block, for editors and other programs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.exports.schema_files import write_schemas
from procedures_lib.site.state import is_whole

if TYPE_CHECKING:
    from sphinx.application import Sphinx

FOLDER = "schema"


def add_schemas(app: Sphinx) -> None:
    """Have the schemas written beside the pages of an HTML build."""

    def write(app: Sphinx, error: Exception | None) -> None:
        if error is None and app.builder.format == "html" and is_whole():
            write_schemas(Path(app.outdir) / FOLDER)

    app.connect("build-finished", write)
