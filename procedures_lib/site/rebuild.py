"""Exact rebuilds: a page is read again when what it shows of other pages has changed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.site.shown import OF_SCOPE, Key, Shown, digest_of

if TYPE_CHECKING:
    from collections.abc import Set as AbstractSet

    from sphinx.application import Sphinx
    from sphinx.environment import BuildEnvironment

    from procedures_lib.site.state import Site


def shown_by_page(env: BuildEnvironment) -> dict[str, dict[Key, str]]:
    """What each page (by docname) showed when it was last read; kept with Sphinx's environment."""
    if not hasattr(env, "procedures_shown"):
        env.procedures_shown = {}  # type: ignore[attr-defined]
    found: dict[str, dict[Key, str]] = env.procedures_shown  # type: ignore[attr-defined]
    return found


def shown_on(env: BuildEnvironment, site: Site, docname: str) -> Shown:
    """Return the notebook of a page that is being read."""
    into = shown_by_page(env).setdefault(docname, {})
    return Shown(site.manual, f"{docname}.md", into)


def add_rebuilding(app: Sphinx, site: Site) -> None:
    """Have pages re-read when an entity that they show has changed, and only then."""

    def outdated(_app: Sphinx, env: BuildEnvironment, *_: AbstractSet[str]) -> list[str]:
        seen: dict[Key, str] = {}

        def now(key: Key) -> str:
            if key not in seen:
                seen[key] = digest_of(site.manual, key)
            return seen[key]

        def is_other(docname: str, shown: dict[Key, str]) -> bool:
            scope = ("scope", f"{docname}.md")
            same = now(scope) == shown[scope]
            return any(
                now(key) != digest
                for key, digest in shown.items()
                if key != scope and not (same and key[0] in OF_SCOPE)
            )

        pages = shown_by_page(env).items()
        return sorted(docname for docname, shown in pages if is_other(docname, shown))

    app.connect("env-get-outdated", outdated)
    app.connect("env-purge-doc", _purge)
    app.connect("env-merge-info", _merge)


def _purge(_app: Sphinx, env: BuildEnvironment, docname: str) -> None:
    shown_by_page(env).pop(docname, None)


def _merge(_app: Sphinx, env: BuildEnvironment, docnames: AbstractSet[str], other: Any) -> None:
    theirs = shown_by_page(other)
    shown_by_page(env).update({name: theirs[name] for name in docnames if name in theirs})
