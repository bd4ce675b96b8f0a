"""Tables in a page's prose, each in a frame of its own: it scrolls there, the page does not."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from docutils import nodes
from sphinx.transforms.post_transforms import SphinxPostTransform

from procedures_lib.site.nodes import Boxed

if TYPE_CHECKING:
    from sphinx.application import Sphinx

_OPEN = '<div class="wide-table" role="group" aria-label="Table" tabindex="0">'


class FramedTables(SphinxPostTransform):
    """Puts each table of a page in a frame that the keyboard can reach, to scroll it."""

    default_priority = 900
    formats = ("html",)

    def run(self, **_kwargs: Any) -> None:
        """Frame the tables of one page."""
        for table in list(self.document.findall(nodes.table)):
            frame = Boxed("", before=_OPEN, after="</div>")
            table.replace_self(frame)
            frame += table


def add_wide_tables(app: Sphinx) -> None:
    """Register the frames."""
    app.add_post_transform(FramedTables)
