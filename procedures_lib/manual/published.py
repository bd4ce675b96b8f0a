"""Which kinds of file a site may bring to a reader: everything else is not published."""

from __future__ import annotations

KINDS = frozenset(
    [
        ".html",
        ".css",
        ".json",
        ".csv",
        ".svg",
        ".png",
        ".jpg",
        ".jpeg",
        ".webp",
        ".pdf",
        ".txt",
        ".woff2",
        ".woff",
        ".ttf",
        ".ico",
        ".webmanifest",
        ".gz",
        ".inv",
    ]
)
"""What may stand anywhere on a site, by the end of its name."""

PICTURES = frozenset({".png", ".jpg", ".jpeg", ".webp"})
"""What a page may show."""

DOWNLOADS = PICTURES | {".csv", ".txt", ".pdf"}
"""What a page may offer."""

KINDS_BELOW = {
    "_images": PICTURES,
    "_downloads": DOWNLOADS,
    "_static": KINDS | {".js", ".mjs", ".map", ".eot", ".gif"},
}
"""What may stand below a folder at the top that Sphinx fills: the first two with what pages name,
the last with what the theme and the settings bring."""

SCRIPTS = frozenset({"worker.js", "searchindex.js"})
"""Scripts at the top of a site: the site's own worker, and the index of Sphinx's own search."""

LISTS = frozenset({"site-files.json", "site-files-to-be.json"})
"""The names of a site's lists of its own files: no page may have them."""


def why_not_published(path: str) -> str:
    """Return why a file of a site, by its path with forward slashes, stays unpublished; "" if not.

    The words follow the path: ``is of a kind that no page may bring``.
    """
    parts = path.split("/")
    if not path.isprintable() or "\\" in path or {"", "..", "."} & set(parts):
        return "is no path of a file on a site"
    if any(part.startswith(".") for part in parts):
        return "is hidden: its name, or that of a folder above it, begins with a dot"
    if path in LISTS:
        return "has the name of the site's list of its own files"
    kinds = KINDS_BELOW.get(parts[0], KINDS) if len(parts) > 1 else KINDS
    if path in SCRIPTS or path[path.rfind(".") :].lower() in kinds:
        return ""
    return "is of a kind that no page may bring"
