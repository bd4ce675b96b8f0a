"""What can stand on a page: text, lines, boxes, circles, as plain values in points, y downwards."""

from __future__ import annotations

from dataclasses import dataclass

Runs = tuple[tuple[str, bool], ...]
"""A line of text as pieces, each with whether it is bold."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of text; ``y`` is its base line, ``align`` left, right or centre of ``x``."""

    x: float
    y: float
    runs: Runs
    size: float
    align: str = "left"
    white: bool = False


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 0.5
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle from its upper left corner; filled black, or drawn with a line."""

    x: float
    y: float
    width: float
    height: float
    line: float = 0.8
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle."""

    x: float
    y: float
    radius: float
    line: float = 1.0


@dataclass(frozen=True, slots=True)
class Triangle:
    """A black triangle."""

    corners: tuple[tuple[float, float], tuple[float, float], tuple[float, float]]


Mark = Line | Rule | Box | Circle | Triangle


@dataclass(frozen=True, slots=True)
class Piece:
    """A strip of a page that is never parted: its height, and the marks on it from its top."""

    height: float
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Block:
    """Pieces that belong together: on one page if a page holds them.

    Where they are too many, and where they are ``loose`` as the rows of a table are, the first
    ``lead`` stay together, and ``again`` stands on top of each page on which the block goes on.
    ``with_next`` keeps a heading with what follows it.
    """

    pieces: tuple[Piece, ...]
    lead: int = 1
    again: Piece | None = None
    with_next: bool = False
    loose: bool = False

    @property
    def height(self) -> float:
        """The height of all pieces."""
        return sum(piece.height for piece in self.pieces)

    @property
    def lead_height(self) -> float:
        """The height of what has to stand together even where the block is parted."""
        return sum(piece.height for piece in self.pieces[: self.lead])


def moved(mark: Mark, dx: float, dy: float) -> Mark:
    """Return a mark moved to the right and down."""
    match mark:
        case Rule(x1, y1, x2, y2, width, dashed):
            return Rule(x1 + dx, y1 + dy, x2 + dx, y2 + dy, width, dashed)
        case Triangle(corners):
            (ax, ay), (bx, by), (cx, cy) = corners
            return Triangle(((ax + dx, ay + dy), (bx + dx, by + dy), (cx + dx, cy + dy)))
        case Line(x, y, runs, size, align, white):
            return Line(x + dx, y + dy, runs, size, align, white)
        case Box(x, y, width, height, line, filled):
            return Box(x + dx, y + dy, width, height, line, filled)
        case Circle(x, y, radius, line):
            return Circle(x + dx, y + dy, radius, line)
