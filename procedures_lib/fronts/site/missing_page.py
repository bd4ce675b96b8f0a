"""The page that a server sends where nothing stands: ``404.html``, read at any address."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from procedures_lib.fronts.site.state import Site

if TYPE_CHECKING:
    from sphinx.application import Sphinx

MISSING = "404"
_RELATIVE = re.compile(r'\b(href|src)="(?!/|\w+:)')


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
            for tag in ("css_tag", "js_tag"):  # they have Sphinx's own `pathto`
                context[tag] = _tag_from(root, context[tag])

    app.connect("html-collect-pages", collect)
    app.connect("html-page-context", root_links)


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


def _tag_from(root: str, tag: Callable[..., str]) -> Callable[..., str]:
    return lambda asset: _RELATIVE.sub(rf'\1="{root}', tag(asset))
