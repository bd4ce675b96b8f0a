"""The tightening order of a bolt pattern, drawn with the numbers in it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape
from itertools import pairwise

_WIDTH = 340.0
_MARGIN = 46.0
_TALLEST = 320.0
_RADIUS = 15.0


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
    mode and in black and white; dashed lines lead from each number to the next.
    """
    points, width, height = _placed(pattern)
    order = [name for name in pattern.order if name in points]
    alternative = escape(text_alternative(pattern))
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}"'
        f' width="{width:g}" height="{height:g}" role="img" aria-label="{alternative}"'
        ' fill="none" stroke="currentColor" font-family="sans-serif" text-anchor="middle">',
        f"<desc>{alternative}</desc>",
        *_path(points, order),
        *_bolts(points, pattern),
        *_front(pattern.front, width, height),
        "</svg>",
    ]
    return "".join(parts)


def _placed(pattern: Pattern) -> tuple[dict[str, tuple[float, float]], float, float]:
    """Return the positions in drawing units, y downwards, and the drawing's width and height."""
    at = dict(pattern.positions)
    xs, ys = [x for x, _ in at.values()], [y for _, y in at.values()]
    spread_x, spread_y = max(xs) - min(xs), max(ys) - min(ys)
    room = _WIDTH - 2 * _MARGIN
    scales = [room / spread_x if spread_x else None, _TALLEST / spread_y if spread_y else None]
    scale = min((s for s in scales if s), default=1.0)
    left = (_WIDTH - spread_x * scale) / 2
    points = {
        name: (round(left + (x - min(xs)) * scale, 1), round(_MARGIN + (max(ys) - y) * scale, 1))
        for name, (x, y) in at.items()
    }
    return points, _WIDTH, round(spread_y * scale + 2 * _MARGIN, 1)


def _path(points: dict[str, tuple[float, float]], order: list[str]) -> list[str]:
    """Dashed lines from each bolt's edge to the next one's, so that no line crosses a number."""
    lines = []
    for here, there in pairwise(order):
        (x1, y1), (x2, y2) = points[here], points[there]
        length = math.hypot(x2 - x1, y2 - y1)
        if length <= 2 * _RADIUS:
            continue
        dx, dy = (x2 - x1) * _RADIUS / length, (y2 - y1) * _RADIUS / length
        lines.append(
            f'<line x1="{x1 + dx:.1f}" y1="{y1 + dy:.1f}" x2="{x2 - dx:.1f}" y2="{y2 - dy:.1f}"'
            ' stroke-width="1" stroke-dasharray="3 4"/>'
        )
    return lines


def _bolts(points: dict[str, tuple[float, float]], pattern: Pattern) -> list[str]:
    parts = []
    for name, (x, y) in points.items():
        parts.append(
            f'<circle class="bolt" cx="{x:g}" cy="{y:g}" r="{_RADIUS:g}" stroke-width="2"/>'
        )
        numbers = [str(n) for n, each in enumerate(pattern.order, start=1) if each == name]
        if numbers:
            parts.append(
                f'<text x="{x:g}" y="{y + 5:g}" font-size="15" font-weight="bold"'
                f' fill="currentColor" stroke="none">{"/".join(numbers)}</text>'
            )
        parts.append(
            f'<text x="{x:g}" y="{y + _RADIUS + 12:g}" font-size="10" fill="currentColor"'
            f' stroke="none">{escape(name)}</text>'
        )
    return parts


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
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="12" fill="currentColor" stroke="none">{text}</text>'
    )
