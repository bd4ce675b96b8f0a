"""What programs read of the site: files beside each page, data in its head, schemas."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from dataclasses import replace
from functools import partial
from html import escape
from itertools import product
from math import prod
from pathlib import Path
from posixpath import basename, dirname, relpath
from typing import TYPE_CHECKING, Any

from procedures_lib.fronts.formats.how_to import how_to, script_text
from procedures_lib.fronts.formats.procedure_files import (
    ENDINGS,
    INDEX,
    SCHEMA,
    index_text,
    procedure_files,
    procedure_schema_text,
    stem_of,
    write_if_other,
    write_schemas,
)
from procedures_lib.fronts.site.block_directive import context_of
from procedures_lib.fronts.site.rebuild import shown_on
from procedures_lib.fronts.site.state import Site, is_whole
from procedures_lib.judging.records.record import RECORD_SCHEMA, record_schema_text
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import ALWAYS, read_condition
from procedures_lib.manual import Plan
from procedures_lib.view.uses import Uses, uses_of

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.environment import BuildEnvironment


FOLDER = "schema"


def add_schemas(app: Sphinx) -> None:
    """Have the schemas written beside the pages of an HTML build."""

    def write(app: Sphinx, error: Exception | None) -> None:
        if error is None and app.builder.format == "html" and is_whole():
            write_schemas(Path(app.outdir) / FOLDER)

    app.connect("build-finished", write)


CARD = ".pdf"
FOR_A_CAR = "--for"
"""What stands before the options in the name of a card for one car."""

MOST_CARDS = 16
"""A procedure with more cars than this has one card for all of them."""

_LINKED = {"torque-table": ENDINGS["torque"], "parts-list": ENDINGS["parts"]}
"""The blocks with a link to their file: how its name ends."""


def add_exports(app: Sphinx, site: Site) -> None:
    """Have the files made with each page that is read, and the lists at the end."""

    def read(app: Sphinx, _doctree: Any) -> None:
        if app.builder.format == "html":
            _make_files(app, site, app.env.docname)

    def head(
        app: Sphinx, pagename: str, _template: str, context: dict[str, Any], _doctree: Any
    ) -> None:
        for plan in _plans(site, pagename):
            _complete(app, site, plan)
            context["metatags"] = context.get("metatags", "") + _head(site, plan)

    def finished(app: Sphinx, error: Exception | None) -> None:
        if error is None and app.builder.format == "html" and is_whole():
            _write(app, SCHEMA, procedure_schema_text().encode())
            _write(app, INDEX, index_text(site.manual.plans()).encode())
            _write(app, RECORD_SCHEMA, record_schema_text().encode())

    app.add_config_value("procedures_cards", False, "env", types=[bool])
    app.connect("doctree-read", read)
    app.connect("env-purge-doc", _purge)
    app.connect("env-merge-info", _merge)
    app.connect("html-page-context", head)
    app.connect("build-finished", finished)


def files_by_page(env: BuildEnvironment) -> dict[str, tuple[str, ...]]:
    """The files made for each page (by docname), below the site's root; kept with Sphinx."""
    if not hasattr(env, "procedures_files"):
        env.procedures_files = {}  # type: ignore[attr-defined]
    found: dict[str, tuple[str, ...]] = env.procedures_files  # type: ignore[attr-defined]
    return found


def file_link_html(block: str, plan: Plan, here: str) -> str:
    """Return the link from a block to its file, as seen from the page ``here``; "" for none.

    ``block`` is ``torque-table`` or ``parts-list``; ``here`` is a docname.
    """
    if block not in _LINKED or not isinstance(plan.head, Procedure):
        return ""
    address = escape(relpath(stem_of(plan) + _LINKED[block], dirname(here) or "."))
    return f'<p class="table-file"><a href="{address}" download>This table as CSV</a></p>'


def card_link_html(site: Site, plan: Plan, here: str) -> str:
    """Return the way to a procedure's card, as seen from the page ``here`` (a docname).

    On a screen it is a link; on paper the address of the card is written out.
    """
    path = stem_of(plan) + CARD
    link, asked = relpath(path, dirname(here) or "."), card_options(site, plan)
    options = f' data-card-options="{escape(" ".join(asked))}"' if asked else ""
    root = site.shop.address
    written = f"{root.rstrip('/')}/{path}" if root else link
    return (
        f'<p class="print-card"><a href="{escape(link)}"{options}>Job card to print</a>'
        ' <span class="on-paper">For paper there is the job card, with its lists, drawings and'
        f" room to write: <strong>{escape(written)}</strong></span></p>"
    )


def card_options(site: Site, plan: Plan) -> tuple[str, ...]:
    """The options that choose the card of a car, in their order; none where all have one card."""
    cars = _cars_of_cards(site, plan) if isinstance(plan.head, Procedure) else []
    return tuple(option for option, _ in cars[0]) if cars else ()


def _plans(site: Site, docname: str) -> Iterator[Plan]:
    """The procedures that stand on a page."""
    for entity in site.manual.entities_on(f"{docname}.md").values():
        if isinstance(entity, Procedure):
            yield site.manual.plan(entity)


def _make_files(app: Sphinx, site: Site, docname: str) -> None:
    """Write the files of a page that is being read, and note what they show of other pages."""
    made: list[str] = []
    for plan in _plans(site, docname):
        files = _files(app, site, _noted(app.env, site, plan))
        for name, raw in files.items():
            _write(app, name, raw)
        made += files
    if made:
        files_by_page(app.env)[docname] = tuple(made)


def _files(app: Sphinx, site: Site, uses: Uses) -> dict[str, bytes]:
    """The files of a procedure, by their path below the site's root."""
    plan = uses.plan
    texts = procedure_files(site.manual, uses)
    files = {name: text.encode("utf-8", "backslashreplace") for name, text in texts.items()}
    if app.config.procedures_cards:
        files |= _cards(site, plan)
    return files


def _cards(site: Site, plan: Plan) -> dict[str, bytes]:
    """The card of a procedure for every car, and one for each car, of its steps alone."""
    from procedures_lib.fronts.paper import card_pdf  # noqa: PLC0415
    from procedures_lib.fronts.paper.card import make_card  # noqa: PLC0415 - with the PDF library

    files = {stem_of(plan) + CARD: card_pdf(make_card(site.manual, plan, ALWAYS))}
    for car in _cars_of_cards(site, plan):
        when = read_condition(" and ".join(f"{option}={value}" for option, value in car))
        words = "".join(f"--{option}-{value}" for option, value in car)
        card = make_card(site.manual, plan, when)
        files[f"{stem_of(plan)}{FOR_A_CAR}{words}{CARD}"] = card_pdf(card)
    return files


def _cars_of_cards(site: Site, plan: Plan) -> list[tuple[tuple[str, str], ...]]:
    """The cars with a card of their own, by the options on which one depends; none for too many."""
    from procedures_lib.fronts.paper.card import make_card  # noqa: PLC0415 - with the PDF library

    asked = make_card(site.manual, plan, ALWAYS).head.choices
    values = [[(each.option, value) for value in each.values] for each in asked]
    count = prod(map(len, values))
    return [*product(*values)] if 1 < count <= MOST_CARDS else []


def _noted(env: BuildEnvironment, site: Site, plan: Plan) -> Uses:
    """The uses of a procedure, with every look-up noted as shown on its page: the page's own."""
    shown = shown_on(env, site, env.docname)
    for entity in (plan.head, plan.kit, plan.vehicle):
        if entity is not None:
            shown.note_entity(entity.id)
    for through in plan.common_heads:
        shown.note("steps", through)
    shown.note("shop")
    shown.note("results", plan.head.id)
    make = partial(uses_of, replace(plan, scope=shown.scope()))
    return context_of(env, site.manual).once(("uses", plan.head.id, ""), make)


def _complete(app: Sphinx, site: Site, plan: Plan) -> None:
    """Write files that are missing: the page was read for another folder or kind of output."""
    if not (Path(app.outdir) / f"{stem_of(plan)}{ENDINGS['json']}").is_file():
        for name, raw in _files(app, site, uses_of(plan)).items():
            _write(app, name, raw)


def _head(site: Site, plan: Plan) -> str:
    """The procedure as data for search engines, which no browser runs, and a link to its JSON."""
    name = escape(basename(stem_of(plan)) + ENDINGS["json"])
    link = f'<link rel="alternate" type="application/json" href="{name}">'
    data = script_text(how_to(site.manual, plan))
    return f'\n  {link}\n  <script type="application/ld+json">{data}</script>'


def _write(app: Sphinx, name: str, raw: bytes) -> None:
    """Write a file of the site, unless it is so already."""
    write_if_other(Path(app.outdir) / name, raw)


def _purge(app: Sphinx, env: BuildEnvironment, docname: str) -> None:
    for name in files_by_page(env).pop(docname, ()):
        (Path(app.outdir) / name).unlink(missing_ok=True)


def _merge(_app: Sphinx, env: BuildEnvironment, docnames: AbstractSet[str], other: Any) -> None:
    theirs = files_by_page(other)
    files_by_page(env).update({name: theirs[name] for name in docnames if name in theirs})
