"""What an archive teaches as one page by itself: charts of ranges, and every figure in a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape
from itertools import groupby

from procedures_lib.findings import printable
from procedures_lib.fronts.site.chart import Scale, scale, tick_text
from procedures_lib.fronts.tables.lesson_tables import (
    figures_text,
    found_text,
    lesson_table,
    lesson_text,
    summary_lines,
)
from procedures_lib.judging.records.lesson import KINDS, Lesson, Lessons

STYLE = """
:root { color-scheme: light dark; --effect: #a3341f; }
@media (prefers-color-scheme: dark) { :root { --effect: #ff9b85; } }
body { font: 1rem/1.5 sans-serif; max-width: 76rem; margin: 0 auto; padding: 1rem; }
.lesson-charts { display: flex; flex-wrap: wrap; gap: 2rem; }
.lesson-charts figure { margin: 0; max-width: 100%; }
.lesson-charts svg { max-width: 100%; height: auto; }
.effect { color: var(--effect); }
.lesson-table { overflow-x: auto; }
table { border-collapse: collapse; font-size: .9rem; }
th, td { text-align: left; vertical-align: top; padding: .25rem .6rem; border-bottom: 1px solid; }
"""

_CHARTED = {"time": "minutes", "wrench": "% off what was wanted", "remark": "% of jobs",
            "edge": "% of readings", "hand-over": "% of jobs", "kit": "% of jobs"}  # fmt: skip
_WIDTH, _LEFT, _RIGHT = 360.0, 8.0, 352.0
_ROW, _HEAD, _FOOT = 40.0, 26.0, 34.0
_MOST_ROWS = 40
_SIGNS = 54
"""So many signs of a name and its figures stand beside each other."""


def lessons_page(lessons: Lessons, head: str = f"<style>{STYLE}</style>") -> str:
    """Return the page: what stands out, the charts, the table. It needs no other file.

    ``head`` brings the styles; a page without them can be read as well.
    """
    effects = [f"<li>{_plain(lesson_text(each))}</li>" for each in lessons.effects]
    told = f"<ul>{''.join(effects)}</ul>" if effects else "<p>Nothing stands out.</p>"
    about = "".join(f"<p>{_plain(line)}</p>" for line in summary_lines(lessons))
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{_TITLE}</title>{head}</head><body><main><h1>{_TITLE}</h1>{about}"
        f"<h2>What stands out</h2>{told}<p>{_KEY}</p>{''.join(_sections(lessons))}"
        f'<h2>All figures</h2><div class="lesson-table" tabindex="0" role="region" '
        f'aria-label="All figures">{_table(lessons)}</div></main></body></html>\n'
    )


_TITLE = "What the bay says"
_KEY = (
    "In the charts a dot is what was found, the line through it its interval, the box the middle "
    "half of the jobs, n how many there are; the upright stroke is what was planned or to be "
    "expected. A filled dot with a star behind its name stands out."
)


def _plain(text: str) -> str:
    return escape(printable(text))


def _sections(lessons: Lessons) -> Iterator[str]:
    for kind, unit in _CHARTED.items():
        found = [each for each in lessons.of(kind) if each.value is not None]
        if found:
            charts = [
                f"<figure>{ranges_svg(name or KINDS[kind], unit, group)}</figure>"
                for name, group in _groups(found)
            ]
            yield f'<h2>{KINDS[kind]}</h2><div class="lesson-charts">{"".join(charts)}</div>'


def _groups(found: Sequence[Lesson]) -> Iterator[tuple[str, list[Lesson]]]:
    for name, group in groupby(found, key=lambda lesson: lesson.procedure):
        yield name, list(group)[:_MOST_ROWS]


def _table(lessons: Lessons) -> str:
    table = lesson_table(lessons.lessons)
    heads = "".join(f'<th scope="col">{_plain(column.label)}</th>' for column in table.columns)
    rows = ("".join(f"<td>{_plain(cell.text)}</td>" for cell in row.cells) for row in table.rows)
    body = "".join(f"<tr>{row}</tr>" for row in rows)
    return f"<table><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"


# -- charts ------------------------------------------------------------------------------------


def ranges_svg(title: str, unit: str, rows: Sequence[Lesson]) -> str:
    """Draw lessons below each other as ranges over one scale: a self-contained SVG element.

    Each row has its name, the middle half as a box, the interval as a line, the value as a dot and
    what it is held against as an upright stroke; nothing is told by colour alone.
    """
    times = 100.0 if rows[0].unit == "share" else 1.0
    values = [times * each for row in rows for each in _ends(row)]
    across = scale(min(0.0, *values), max(values), _LEFT, _RIGHT, 5)
    height = _HEAD + _ROW * len(rows) + _FOOT
    words = _plain(f"{title}, {unit}: " + "; ".join(f"{_name(r)} {found_text(r)}" for r in rows))
    drawn = "".join(_row(row, across, _HEAD + n * _ROW, times) for n, row in enumerate(rows))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH:g} {height:g}"'
        f' width="{_WIDTH:g}" height="{height:g}" role="img" aria-label="{words}" fill="none"'
        ' stroke="currentColor" font-family="sans-serif" font-size="12">'
        f"<desc>{words}</desc>{_text(0, 14, f'{title}, {unit}', bold=True)}"
        f"{_grid(across, _HEAD, height - _FOOT)}{drawn}</svg>"
    )


def _ends(row: Lesson) -> Iterable[float]:
    known = (row.value, row.low, row.high, row.expected, *(row.spread or ()))
    return (each for each in known if each is not None)


def _name(row: Lesson) -> str:
    return f"{row.step}. {row.title}" if row.step else row.title or row.about


def _grid(across: Scale, top: float, foot: float) -> str:
    return "".join(
        f'<line x1="{across.place(tick):g}" y1="{top:g}" x2="{across.place(tick):g}" y2="{foot:g}"'
        f' stroke-opacity="0.2"/>{_text(across.place(tick), foot + 15, tick_text(tick), "middle")}'
        for tick in across.ticks
    )


def _row(row: Lesson, across: Scale, top: float, times: float) -> str:
    y = top + 28
    at = across.place(times * (row.value or 0.0))
    star, figures = " *" if row.verdict else "", figures_text(row)
    name = _clipped(_name(row), _SIGNS - len(star) - len(figures))
    parts = [
        f"<title>{_plain(f'{_name(row)}: {found_text(row)}')}</title>",
        _text(4, top + 14, f"{name}{star}"),
        _text(_RIGHT, top + 14, figures, "end"),
    ]
    if row.spread:
        a, b = (across.place(times * each) for each in row.spread)
        parts.append(f'<rect x="{a:g}" y="{y - 6:g}" width="{b - a:g}" height="12"'
                     ' fill="currentColor" fill-opacity="0.15" stroke="none"/>')  # fmt: skip
    if row.low is not None and row.high is not None:
        a, b = (across.place(times * each) for each in (row.low, row.high))
        parts.append(f'<line x1="{a:g}" y1="{y:g}" x2="{b:g}" y2="{y:g}" stroke-width="2"/>')
    if row.expected is not None:
        x = across.place(times * row.expected)
        parts.append(
            f'<line x1="{x:g}" y1="{y - 9:g}" x2="{x:g}" y2="{y + 9:g}" stroke-width="3"/>'
        )
    fill = "currentColor" if row.verdict else "none"
    parts.append(f'<circle cx="{at:g}" cy="{y:g}" r="4.5" fill="{fill}" stroke-width="2"/>')
    style = ' class="effect"' if row.verdict else ""
    return f"<g{style}>{''.join(parts)}</g>"


def _clipped(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def _text(x: float, y: float, text: str, anchor: str = "start", *, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:g}" y="{y:g}" text-anchor="{anchor}"{weight} fill="currentColor"'
        f' stroke="none">{_plain(text)}</text>'
    )
