"""The page that a server sends where nothing stands: ``404.html``, read at any address."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from procedures_lib.fronts.site.state import Site

if TYPE_CHECKING:
    from sphinx.application import Sphinx

MISSING = "404"
_FIRST = 100
"""The priority of what comes before Sphinx's own links to styles and scripts."""


def add_missing_page(app: Sphinx, site: Site) -> None:
    """Have the page made with a theme that has its template, its links from the site's root."""

    def collect(app: Sphinx) -> Iterator[tuple[str, dict[str, Any], str]]:
        theme: Any = getattr(app.builder, "theme", None)
        if app.builder.format == "html" and "find" in theme.get_options({}):
            yield MISSING, {}, f"{MISSING}.html"

    def root_links(
        _app: Sphinx, pagename: str, _template: str, context: dict[str, Any], _doctree: object
    ) -> None:
        if pagename == MISSING:
            root = root_of(site.manual.shop.address)
            context["pathto"] = _from(root, context["pathto"])
            context["content_root"] = root

    app.connect("html-collect-pages", collect)
    app.connect("html-page-context", root_links, priority=_FIRST)


def root_of(address: str) -> str:
    """Return where the site begins on its host: the path of its address, "/" without one."""
    path = urlsplit(address).path.strip("/")
    return f"/{path}/" if path else "/"


def _from(root: str, pathto: Callable[..., str]) -> Callable[..., str]:
    """Sphinx's ``pathto`` with the site's root before what it says."""

    def absolute(*names: Any, **more: Any) -> str:
        found = pathto(*names, **more)
        return found if found.startswith("#") or urlsplit(found).netloc else f"{root}{found}"

    return absolute
