"""The tightening order of a bolt pattern, drawn with the numbers in it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape
from itertools import pairwise

from procedures_lib.drawings.sheet import Sheet, name_places, runs_over, sheet_for

WIDE = 600.0
"""From this width on, in drawing units, a drawing is scrolled rather than made small."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """What a drawing shows.

    ``positions`` are names with x and y in mm, y upwards, seen from the side the tool is on;
    ``order`` the names in tightening order (() draws the pattern with no numbers); ``front`` says
    where the front of the car lies in that view ("" when the page does not say).
    """

    title: str
    positions: tuple[tuple[str, tuple[float, float]], ...]
    order: tuple[str, ...]
    front: str = ""


def text_alternative(pattern: Pattern) -> str:
    """The drawing in words: the order by name, and where the front of the car lies."""
    if pattern.order:
        steps = ", ".join(f"{n} {name}" for n, name in enumerate(pattern.order, start=1))
        told = f"Tightening order of {len(pattern.order)}: {steps}."
    else:
        told = f"Pattern of {len(pattern.positions)} positions; the page gives no order."
    return f"{pattern.title}. {told} {front_text(pattern.front)}"


def front_text(front: str) -> str:
    """Where the front of the car lies, in words."""
    if not front:
        return (
            "Seen from the side the tool is on; the page does not say where the car's front lies."
        )
    where = {
        "up": "at the top", "down": "at the bottom", "left": "on the left", "right": "on the right",
        "toward you": "toward you", "away from you": "away from you",
    }[front]  # fmt: skip
    return f"Seen from the side the tool is on; front of the car {where}."


def front_from_names(pattern: Pattern) -> str:
    """Tell where the front lies when the names of positions say it: "front left", "rear left".

    Returns up, down, left or right, or "" when the names do not settle it.
    """
    front = [at for name, at in pattern.positions if "front" in name.lower().split()]
    rear = [at for name, at in pattern.positions if "rear" in name.lower().split()]
    if not front or not rear:
        return ""
    across = sum(x for x, _ in front) / len(front) - sum(x for x, _ in rear) / len(rear)
    upward = sum(y for _, y in front) / len(front) - sum(y for _, y in rear) / len(rear)
    if abs(across) == abs(upward):
        return ""
    if abs(upward) > abs(across):
        return "up" if upward > 0 else "down"
    return "right" if across > 0 else "left"


def order_svg(pattern: Pattern) -> str:
    """Draw the pattern as a self-contained SVG element with a title and a description.

    Lines and figures take the colour of the text around them, so that the drawing works in dark
    mode and in black and white; dashed lines lead from each number to the next. Where there are
    many bolts the sheet grows, and names and lines are left out.
    """
    sheet = sheet_for(dict(pattern.positions))
    order = [name for name in pattern.order if name in sheet.points]
    alternative = escape(text_alternative(pattern))
    width, height = f"{sheet.width:g}", f"{sheet.height:g}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}"'
        f' width="{width}" height="{height}" role="img" aria-label="{alternative}"'
        ' fill="none" stroke="currentColor" font-family="sans-serif" text-anchor="middle">',
        f"<desc>{alternative}</desc>",
        *([] if sheet.crowded else _path(sheet, order)),
        *_bolts(sheet, pattern),
        *_front(pattern.front, sheet.width, sheet.height),
        "</svg>",
    ]
    return "".join(parts)


def is_wide(pattern: Pattern) -> bool:
    """Whether a drawing is too wide for a page, and has to be scrolled to stay legible."""
    return sheet_for(dict(pattern.positions)).width > WIDE


def _path(sheet: Sheet, order: list[str]) -> list[str]:
    """Dashed lines from each bolt's edge to the next one's, so that no line crosses a number."""
    lines = []
    for here, there in pairwise(order):
        (x1, y1), (x2, y2) = sheet.points[here], sheet.points[there]
        length = math.hypot(x2 - x1, y2 - y1)
        if length <= 2 * sheet.radius or runs_over(sheet, here, there):
            continue
        dx, dy = (x2 - x1) * sheet.radius / length, (y2 - y1) * sheet.radius / length
        lines.append(
            f'<line x1="{x1 + dx:.1f}" y1="{y1 + dy:.1f}" x2="{x2 - dx:.1f}" y2="{y2 - dy:.1f}"'
            ' stroke-width="1" stroke-dasharray="3 4"/>'
        )
    return lines


def _bolts(sheet: Sheet, pattern: Pattern) -> list[str]:
    """A circle for each bolt, with its number in the order, or its numbers, and its name."""
    numbers: dict[str, list[str]] = {}
    for n, name in enumerate(pattern.order, start=1):
        numbers.setdefault(name, []).append(str(n))
    size, names = (9 if sheet.crowded else 15), name_places(sheet)
    parts = []
    for name, (x, y) in sheet.points.items():
        parts.append(
            f'<circle class="bolt" cx="{x:g}" cy="{y:g}" r="{sheet.radius:g}" stroke-width="2"/>'
        )
        if name in numbers:
            bold = f'font-size="{size}" font-weight="bold"'
            parts.append(_text((x, y + size / 3), bold, "/".join(numbers[name])))
        if name in names:
            parts.append(_text(names[name], 'font-size="10"', name))
    return parts


def _text(at: tuple[float, float], font: str, text: str) -> str:
    place = f'x="{at[0]:g}" y="{at[1]:g}"'
    return f'<text {place} {font} fill="currentColor" stroke="none">{escape(text)}</text>'


def _front(front: str, width: float, height: float) -> list[str]:
    """The mark for the front of the car: an arrow and the words, in the margin it points to."""
    if front not in {"up", "down", "left", "right"}:
        text = f"front of car: {front}" if front else "front of car: see text"
        return [_label(width / 2, 14, text)]
    x, y, turn, text_x = {
        "up": (width / 2 - 52, 4, 0, width / 2),
        "down": (width / 2 - 52, height - 4, 180, width / 2),
        "left": (6, 10, -90, 62),
        "right": (width - 6, 10, 90, width - 62),
    }[front]
    arrow = (
        f'<path d="M0 0 L6 12 L-6 12 Z" fill="currentColor" stroke="none"'
        f' transform="translate({x:g} {y:g}) rotate({turn})"/>'
    )
    return [arrow, _label(text_x, height - 6 if front == "down" else 14, "front of car")]


def _label(x: float, y: float, text: str) -> str:
    return _text((x, y), 'font-size="12"', text)
