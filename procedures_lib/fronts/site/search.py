"""Search: the rows of each page kept with Sphinx's environment, and the index made from them."""

from __future__ import annotations

import pickle
from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from pathlib import Path
from typing import TYPE_CHECKING, Any

import sphinx.search
from docutils import nodes
from sphinx.util.fileutil import copy_asset_file

from procedures_lib.fronts.formats.procedure_files import write_if_other
from procedures_lib.fronts.search import (
    FOLDER,
    FoundPage,
    Row,
    index_files,
    make_index,
    rows_of_page,
)
from procedures_lib.fronts.site.head_html import only_for, vehicle_of
from procedures_lib.fronts.site.nodes import anchor_of
from procedures_lib.fronts.site.offline import GUIDE_INDEX, is_guide
from procedures_lib.fronts.site.state import Site, is_whole
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Job, Procedure

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.environment import BuildEnvironment


_CAR_KINDS = frozenset({"vehicle", "kit", "common", "job", "dyno-session"})
_STEMMERS = ("base-stemmer.js", "english-stemmer.js")


def rows_by_page(env: BuildEnvironment) -> dict[str, bytes]:
    """The rows of each page (by docname) as it was last read; kept with Sphinx's environment.

    They are pickled page by page: the environment is read and written at every build, the rows are
    looked at when the index is made.
    """
    if not hasattr(env, "procedures_rows"):
        env.procedures_rows = {}  # type: ignore[attr-defined]
    found: dict[str, bytes] = env.procedures_rows  # type: ignore[attr-defined]
    return found


def add_find(app: Sphinx, site: Site) -> None:
    """Have the index made at the end of every HTML build, in place of Sphinx's own."""

    def keep(app: Sphinx, doctree: nodes.document) -> None:
        name = app.env.docname
        page = f"{name}.md"
        if _is_ours(app) and page in site.manual.contents:
            sections = _section_anchors(doctree)
            rows = rows_of_page(site.manual, page)
            placed = tuple(_placed(row, sections) for row in rows)
            rows_by_page(app.env)[name] = pickle.dumps(placed, pickle.HIGHEST_PROTOCOL)

    def write(app: Sphinx, error: Exception | None) -> None:
        if error is None and _is_ours(app) and is_whole():
            _write(Path(app.outdir), _files(list(_pages(app, site))))

    app.connect("builder-inited", _without_own_search)
    app.connect("doctree-read", keep)
    app.connect("env-purge-doc", _purge)
    app.connect("env-merge-info", _merge)
    app.connect("html-collect-pages", _search_page)
    app.connect("build-finished", write)


def _files(pages: list[FoundPage]) -> dict[str, str]:
    """The index of what technicians look for, and that of the writers' guide if there is one."""
    guide = [page for page in pages if is_guide(page.uri)]
    files = index_files(make_index(page for page in pages if page not in guide))
    return {**files, **(index_files(make_index(guide), GUIDE_INDEX) if guide else {})}


def _is_ours(app: Sphinx) -> bool:
    """Tell whether pages are built with a theme that has search boxes for this index."""
    theme: Any = getattr(app.builder, "theme", None)
    return app.builder.format == "html" and "find" in theme.get_options({})


def _without_own_search(app: Sphinx) -> None:
    """Spare Sphinx's index and its search page; its stemmers are used."""
    if _is_ours(app):
        app.builder.search = False  # type: ignore[attr-defined]


def _search_page(app: Sphinx) -> Iterator[tuple[str, dict[str, Any], str]]:
    if not _is_ours(app):
        return
    folder = Path(sphinx.search.__file__).with_name("non-minified-js")
    for name in _STEMMERS:
        copy_asset_file(folder / name, app.outdir / "_static", force=True)
    yield "search", {}, "search.html"


def _section_anchors(doctree: nodes.document) -> dict[str, str]:
    """The anchors of a page's sections, by ``section:3`` for the third, its title included."""
    found = (section["ids"][0] for section in doctree.findall(nodes.section) if section["ids"])
    return {f"section:{n}": anchor for n, anchor in enumerate(found)}


def _placed(row: Row, sections: dict[str, str]) -> Row:
    """The row with its anchor on the page as its target."""
    if row.tool:
        return row._replace(tool=anchor_of(row.tool))
    if row.target.startswith("section:"):
        return row._replace(target=sections.get(row.target, ""))
    return row._replace(target=anchor_of(row.target) if row.target else "")


def _pages(app: Sphinx, site: Site) -> Iterator[FoundPage]:
    for docname, packed in sorted(rows_by_page(app.env).items()):
        content = site.manual.contents.get(f"{docname}.md")
        if content is not None and docname in app.env.found_docs:
            uri = app.builder.get_target_uri(docname)
            title = content.page.title or docname
            car = _car(site, f"{docname}.md")
            rows: tuple[Row, ...] = pickle.loads(packed)  # noqa: S301 - from this environment
            only = _only(site, f"{docname}.md")
            yield FoundPage(docname, uri, title, _tier(site, f"{docname}.md"), rows, car, only)


def _tier(site: Site, page: str) -> str:
    kinds = {entity.KIND for entity in site.manual.entities_on(page).values()}
    if Procedure.KIND in kinds:
        return "procedure"
    return "car" if kinds & _CAR_KINDS else "other"


def _car(site: Site, page: str) -> str:
    """The id of the vehicle that a page is about, "" for none and for more than one."""
    heads = site.manual.entities_on(page).values()
    cars = {car.id for head in heads if (car := vehicle_of(head, site.manual))}
    return str(cars.pop()) if len(cars) == 1 else ""


def _only(site: Site, page: str) -> str:
    """The cars that a page is for, "" for all of its vehicle, and where it has several heads."""
    manual = site.manual
    heads = [head for head in manual.entities_on(page).values() if head.KIND in HEADS]
    if len(heads) != 1 or not isinstance(heads[0], Kit | Job | Procedure):
        return ""
    return only_for(heads[0], manual.plan(heads[0]) if isinstance(heads[0], Procedure) else None)


def _write(root: Path, files: dict[str, str]) -> None:
    """Write the files that have changed, and remove those that are no longer part of the index."""
    for path, text in files.items():
        write_if_other(root / path, text.encode())
    for folder in (FOLDER, GUIDE_INDEX):
        for file in (root / folder).rglob("*.json"):
            if file.relative_to(root).as_posix() not in files:
                file.unlink()


def _purge(_app: Sphinx, env: BuildEnvironment, docname: str) -> None:
    rows_by_page(env).pop(docname, None)


def _merge(_app: Sphinx, env: BuildEnvironment, docnames: AbstractSet[str], other: Any) -> None:
    theirs = rows_by_page(other)
    rows_by_page(env).update({name: theirs[name] for name in docnames if name in theirs})
