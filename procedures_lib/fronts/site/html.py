"""Values to HTML: pure functions from tables, lists and amounts to text, everything escaped."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from html import escape
from itertools import groupby

from procedures_lib.engineering.quantities.units import unbroken
from procedures_lib.fronts.site.nodes import amount_html, anchor_of
from procedures_lib.fronts.tables.table import Cell, Column, Row, Table

Href = Callable[[str], str]
More = Callable[[Row, Column], str]


class Anchors:
    """Hands out each anchor of a page once, so that no id stands twice on it."""

    def __init__(self, used: set[str]) -> None:
        self._used = used

    def attribute(self, target: str) -> str:
        """Return ` id="…"` for a target the first time it is asked for, else ""."""
        anchor = anchor_of(target) if target else ""
        if not anchor or anchor in self._used:
            return ""
        self._used.add(anchor)
        return f' id="{escape(anchor)}"'


def element(name: str, inner: str, **attributes: str) -> str:
    """Return an element; ``inner`` is HTML, attributes are escaped, empty ones left out."""
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(value)}"'
        for key, value in attributes.items()
        if value
    )
    return f"<{name}{written}>{inner}</{name}>"


def cell_html(cell: Cell, href: Href) -> str:
    """Return a cell with its links."""
    parts = []
    for run in cell.runs:
        address = href(run.target) if run.target else ""
        text = escape(unbroken(run.text))
        text = amount_html(text, dict(run.led)) if run.led else text
        linked = element("a", text, href=address) if address else text
        parts.append(by_car(linked, run.when) if run.when else linked)
    if not any(run.when for run in cell.runs):
        return "".join(parts)
    texts = (part for part, run in zip(parts, cell.runs, strict=True) if run.when)
    return element("span", element("span", "; ", class_="comma").join(texts), class_="by-car")


def by_car(inner: str, when: str) -> str:
    """Return HTML that is for some cars only, so that a page can leave it out for a car."""
    return element("span", inner + applies_html(when), class_="object", data_when=when)


def no_more(_row: Row, _column: Column) -> str:
    """What is added to a cell of a table: nothing."""
    return ""


def table_html(
    table: Table, href: Href, anchors: Anchors, caption: str = "", more: More = no_more
) -> str:
    """Return a table whose cells carry their column's label, for screens too narrow for it.

    ``more`` gives finished HTML to stand below a cell's text.
    """
    if not table.rows:
        return element("p", "Nothing to list.", class_="nothing")
    head = "".join(element("th", escape(c.label), scope="col") for c in table.columns)
    body = "".join(_bodies(table, href, anchors, more))
    title = element("caption", escape(caption)) if caption else ""
    inner = f"{title}<thead><tr>{head}</tr></thead>{body}"
    whole = element("table", inner, class_=f"facts facts-{table.kind}")
    return element("div", whole, class_="fact-table")


def _bodies(table: Table, href: Href, anchors: Anchors, more: More) -> Iterator[str]:
    """Yield the bodies of a table: rows that share an anchor have it on a body of their own.

    Of such rows a page may show only those for a car, and the link still leads there.
    """
    plain: list[str] = []
    for anchor, group in groupby(table.rows, key=lambda row: row.anchor):
        rows = list(group)
        shared = anchors.attribute(anchor) if anchor and len(rows) > 1 else ""
        made = [_row_html(row, table, href, anchors, more) for row in rows]
        if not shared:
            plain += made
            continue
        if plain:
            yield element("tbody", "".join(plain))
        yield f"<tbody{shared}>{''.join(made)}</tbody>"
        plain = []
    if plain:
        yield element("tbody", "".join(plain))


def _row_html(row: Row, table: Table, href: Href, anchors: Anchors, more: More) -> str:
    cells = []
    for n, (column, cell) in enumerate(zip(table.columns, row.cells, strict=True)):
        inner = cell_html(cell, href) + more(row, column)
        if n == 0 and row.when:
            inner += applies_html(row.when)
        name = "th" if n == 0 else "td"
        empty = "" if cell.runs else "empty"
        scope = "row" if n == 0 else ""
        cells.append(element(name, inner, scope=scope, class_=empty, data_label=column.label))
    identity = anchors.attribute(row.anchor)
    when = f' data-when="{escape(row.when)}"' if row.when else ""
    return f"<tr{identity}{when}>{''.join(cells)}</tr>"


def applies_html(when: str, name: str = "span") -> str:
    """Return the note that a thing is for some cars only."""
    return f" {element(name, f'only: {escape(when)}', class_='applies')}" if when else ""


def facts_html(
    facts: Iterable[tuple[str, str]],
    css: str = "facts-list",
    cars: Mapping[tuple[str, str], str] | None = None,
) -> str:
    """Return labels and texts as a description list; ``cars`` are those of a line for some only."""
    only = cars or {}
    inner = "".join(
        element(
            "div",
            element("dt", escape(label)) + element("dd", escape(unbroken(text))),
            data_when=only.get((label, text), ""),
        )
        for label, text in facts
    )
    return element("dl", inner, class_=css) if inner else ""


def list_html(items: Iterable[str], css: str = "") -> str:
    """Return finished pieces of HTML as a list."""
    inner = "".join(element("li", item) for item in items)
    return element("ul", inner, class_=css) if inner else ""


def fold_html(title: str, inner: str, css: str = "fold") -> str:
    """Return HTML folded away under its title, which unfolds without any script."""
    return element("details", element("summary", escape(title)) + inner, class_=css)


def signal_html(
    word: str, title: str, lines: Iterable[str], *, after: str = "", when: str = ""
) -> str:
    """Return a signal word with its message (ANSI Z535.6: word, what can happen, how to avoid).

    ``after`` is finished HTML to stand below it, ``when`` the cars that it is for.
    """
    inner = element("p", word, class_="signal-word")
    inner += element("p", element("strong", escape(title))) if title else ""
    inner += "".join(element("p", escape(line)) for line in lines if line) + after
    return element("aside", inner, data_when=when, class_=f"signal signal-{word.lower()}")


def plain_table(table: Table) -> str:
    """Return a table as lines of text, for outputs other than HTML."""
    lines = ["; ".join(f"{k}: {v}" for k, v in record.items() if v) for record in table.records()]
    return "\n".join(lines)
