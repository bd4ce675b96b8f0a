"""Solids of a drawn view: triangles with normals, each of one face of the thing that it belongs to.

Lengths are millimetres. Where a thing stands in a car, x points to its front, y to its left and z
up (ISO 8855).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import ArrayLike, NDArray

Numbers = NDArray[np.float64]

# Two surfaces that meet at more than this show an edge.
CREASE = 40.0


@dataclass(frozen=True)
class Solid:
    """Triangles of one thing: `corners` and `normals` (n, 3, 3) in mm, `faces` (n) numbers each
    surface.
    """

    corners: Numbers
    normals: Numbers
    faces: NDArray[np.int64]

    def moved(self, x: float = 0, y: float = 0, z: float = 0) -> Solid:
        return Solid(self.corners + np.array([x, y, z]), self.normals, self.faces)

    def turned(self, axis: str, degrees: float) -> Solid:
        """The solid turned about an axis through the origin, right-handed."""
        return self._mapped(rotation(axis, degrees))

    def along(self, direction: ArrayLike) -> Solid:
        """The solid with what pointed along z pointing along `direction`."""
        z = unit(direction)
        x = unit(np.cross([0.0, 1.0, 0.0] if abs(z[1]) < 0.9 else [0.0, 0.0, 1.0], z))
        return self._mapped(np.column_stack([x, np.cross(z, x), z]))

    def scaled(self, x: float, y: float, z: float) -> Solid:
        normals = self.normals / np.array([x, y, z])
        normals /= np.linalg.norm(normals, axis=2, keepdims=True) + 1e-12
        return Solid(self.corners * np.array([x, y, z]), normals, self.faces)

    def _mapped(self, matrix: Numbers) -> Solid:
        return Solid(self.corners @ matrix.T, self.normals @ matrix.T, self.faces)

    def __add__(self, other: Solid) -> Solid:
        return joined([self, other])


def unit(vector: ArrayLike) -> Numbers:
    """The vector with length 1."""
    given = np.asarray(vector, dtype=float)
    return np.asarray(given / np.linalg.norm(given), dtype=float)


def rotation(axis: str, degrees: float) -> Numbers:
    """The matrix (3, 3) of a right-handed turn about one axis."""
    c, s = cos(radians(degrees)), sin(radians(degrees))
    turns = {
        "x": [[1, 0, 0], [0, c, -s], [0, s, c]],
        "y": [[c, 0, s], [0, 1, 0], [-s, 0, c]],
        "z": [[c, -s, 0], [s, c, 0], [0, 0, 1]],
    }
    return np.array(turns[axis], dtype=float)


def joined(solids: Sequence[Solid]) -> Solid:
    """Several solids as one thing, each face still its own."""
    first, numbers = 0, []
    for solid in solids:
        numbers.append(solid.faces + first)
        first += int(solid.faces.max()) + 1
    return Solid(
        np.concatenate([solid.corners for solid in solids]),
        np.concatenate([solid.normals for solid in solids]),
        np.concatenate(numbers),
    )


def sheet(grid: Numbers, faces: NDArray[np.int64] | None = None) -> Solid:
    """A surface through a grid of points (rows, columns, 3); `faces` numbers the strips between
    columns.
    """
    rows, columns = grid.shape[:2]
    strips = np.zeros(columns - 1, dtype=np.int64) if faces is None else faces
    along, across = np.gradient(grid, axis=0), _across(grid, strips)
    parts: list[tuple[Numbers, Numbers, NDArray[np.int64]]] = []
    for k in range(columns - 1):
        ends = [np.cross(along[:, k + e], across[k][e]) for e in (0, 1)]
        sizes = [np.linalg.norm(n, axis=1, keepdims=True) for n in ends]
        ends = [np.where(sizes[e] < 1e-6, ends[1 - e], ends[e]) for e in (0, 1)]
        ends = [n / (np.linalg.norm(n, axis=1, keepdims=True) + 1e-9) for n in ends]
        at = [grid[:-1, k], grid[1:, k], grid[1:, k + 1], grid[:-1, k + 1]]
        nm = [ends[0][:-1], ends[0][1:], ends[1][1:], ends[1][:-1]]
        for a, b, c in ((0, 1, 2), (0, 2, 3)):
            corners = np.stack([at[a], at[b], at[c]], axis=1)
            normals = np.stack([nm[a], nm[b], nm[c]], axis=1)
            parts.append((corners, normals, np.full(rows - 1, strips[k])))
    return Solid(*(np.concatenate([part[i] for part in parts]) for i in range(3)))


def _across(grid: Numbers, strips: NDArray[np.int64]) -> list[tuple[Numbers, Numbers]]:
    """How each strip runs at its two sides: bent towards its neighbour where both are one face."""
    runs = [grid[:, k + 1] - grid[:, k] for k in range(grid.shape[1] - 1)]
    closed = bool(np.allclose(grid[:, 0], grid[:, -1]))
    found = []
    for k, run in enumerate(runs):
        before = k - 1 if k else (len(runs) - 1 if closed else k)
        after = k + 1 if k + 1 < len(runs) else (0 if closed else k)
        left = run + runs[before] if strips[before] == strips[k] else run
        right = run + runs[after] if strips[after] == strips[k] else run
        found.append((left, right))
    return found


def strips_of(outline: Numbers) -> NDArray[np.int64]:
    """Which lengths of an outline are one smooth face: a new one starts at each corner."""
    runs = np.diff(outline, axis=0)
    runs = runs / (np.linalg.norm(runs, axis=1, keepdims=True) + 1e-12)
    sharp = np.sum(runs[1:] * runs[:-1], axis=1) < cos(radians(CREASE))
    faces = np.concatenate([[0], np.cumsum(sharp)])
    closed = np.allclose(outline[0], outline[-1])
    if closed and faces[-1] and np.dot(runs[0], runs[-1]) > cos(radians(CREASE)):
        faces[faces == faces[-1]] = 0
    return faces.astype(np.int64)


def revolved(profile: Sequence[tuple[float, float]], segments: int = 48) -> Solid:
    """A profile of (radius, height) turned about z."""
    outline = np.array(profile, dtype=float)
    angles = np.linspace(0, 2 * np.pi, segments + 1)
    ring = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    grid = np.zeros((segments + 1, len(outline), 3))
    grid[:, :, :2] = ring[:, None, :] * outline[None, :, :1]
    grid[:, :, 2] = outline[None, :, 1]
    return sheet(grid, strips_of(outline))


def rod(radius: float, height: float, segments: int = 40) -> Solid:
    """A round bar from z = 0 up."""
    return revolved([(0, 0), (radius, 0), (radius, height), (0, height)], segments)


def hollow(outer: float, inner: float, height: float) -> Solid:
    """A ring from z = 0 up."""
    return revolved([(inner, 0), (outer, 0), (outer, height), (inner, height), (inner, 0)])


def prism(outline: Sequence[tuple[float, float]] | Numbers, height: float) -> Solid:
    """An outline in x and y, not crossing itself, raised from z = 0 up."""
    points = np.array(outline, dtype=float)
    ring = np.vstack([points, points[:1]])
    grid = np.zeros((2, len(ring), 3))
    grid[:, :, :2] = ring
    grid[1, :, 2] = height
    strips = strips_of(ring)
    faces = [sheet(grid, strips)]
    flat = np.array(triangles_of(points))
    for z, up in ((0.0, -1.0), (height, 1.0)):
        corners = np.concatenate([points[flat], np.full((*flat.shape, 1), z)], axis=2)
        normals = np.zeros_like(corners)
        normals[:, :, 2] = up
        faces.append(Solid(corners, normals, np.zeros(len(flat), dtype=np.int64)))
    return joined(faces)


def triangles_of(points: Numbers) -> list[tuple[int, int, int]]:
    """An outline cut into triangles, by ears."""
    left = list(range(len(points)))
    if _area(points) < 0:
        left.reverse()
    found = []
    while len(left) > 3:
        for i, b in enumerate(left):
            a, c = left[i - 1], left[(i + 1) % len(left)]
            if _is_ear(points, a, b, c, left):
                found.append((a, b, c))
                left.pop(i)
                break
        else:
            break
    return [*found, (left[0], left[1], left[2])]


def _is_ear(points: Numbers, a: int, b: int, c: int, left: list[int]) -> bool:
    p, q, r = points[a], points[b], points[c]
    if _turn(p, q, r) <= 1e-12:
        return False
    others = points[[k for k in left if k not in (a, b, c)]]
    inside = (_turn(p, q, others) > 0) & (_turn(q, r, others) > 0) & (_turn(r, p, others) > 0)
    return not bool(np.any(inside))


def _turn(p: Numbers, q: Numbers, r: Numbers) -> Numbers:
    turn = (q[0] - p[0]) * (r[..., 1] - p[1]) - (q[1] - p[1]) * (r[..., 0] - p[0])
    return np.asarray(turn)


def _area(points: Numbers) -> float:
    x, y = points.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def block(x: float, y: float, z: float, corner: float = 0) -> Solid:
    """A block about the origin in x and y, from z = 0 up, its upright edges rounded."""
    return prism(rounded(x, y, corner), z)


def rounded(x: float, y: float, corner: float) -> Numbers:
    """The outline of a rectangle about the origin with round corners."""
    if not corner:
        return np.array([(-x / 2, -y / 2), (x / 2, -y / 2), (x / 2, y / 2), (-x / 2, y / 2)])
    quarter = np.linspace(0, np.pi / 2, 7)
    points = []
    for k, (sx, sy) in enumerate(((1, 1), (-1, 1), (-1, -1), (1, -1))):
        middle = np.array([sx * (x / 2 - corner), sy * (y / 2 - corner)])
        turn = quarter + k * np.pi / 2
        points.append(middle + corner * np.stack([np.cos(turn), np.sin(turn)], axis=1))
    return np.concatenate(points)


def smooth(points: ArrayLike, steps: int = 12, *, closed: bool = False) -> Numbers:
    """A curve through the points (Catmull and Rom's), `steps` lengths from one to the next."""
    given = np.asarray(points, dtype=float)
    if closed:
        given = np.vstack([given[-1:], given, given[:2]])
    else:
        given = np.vstack([2 * given[0] - given[1], given, 2 * given[-1] - given[-2]])
    t = np.linspace(0, 1, steps, endpoint=False)[:, None]
    found = []
    for p0, p1, p2, p3 in zip(given, given[1:], given[2:], given[3:], strict=False):
        a, b, c = p2 - p0, 2 * p0 - 5 * p1 + 4 * p2 - p3, 3 * p1 - p0 - 3 * p2 + p3
        found.append(p1 + 0.5 * (a * t + b * t**2 + c * t**3))
    curve = np.concatenate(found)
    return curve if closed else np.vstack([curve, given[-2:-1]])


def tube(
    path: ArrayLike,
    radius: float | Callable[[float], float],
    *,
    steps: int = 10,
    segments: int = 20,
) -> Solid:
    """A round hose, pipe or wire along a curve through the points, shut at both ends.

    `radius` may be a function of the length from the start, in mm.
    """
    line = smooth(path, steps) if steps > 1 else np.asarray(path, dtype=float)
    runs = np.gradient(line, axis=0)
    runs /= np.linalg.norm(runs, axis=1, keepdims=True) + 1e-12
    side = np.cross(runs[0], [0.0, 0.0, 1.0] if abs(runs[0][2]) < 0.9 else [1.0, 0.0, 0.0])
    lengths = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    angles = np.linspace(0, 2 * np.pi, segments + 1)
    grid = np.zeros((len(line), segments + 1, 3))
    for i, (at, run, length) in enumerate(zip(line, runs, lengths, strict=True)):
        side = side - np.dot(side, run) * run
        side /= np.linalg.norm(side) + 1e-12
        up = np.cross(run, side)
        size = radius(float(length)) if callable(radius) else radius
        grid[i] = at + size * (np.outer(np.cos(angles), side) + np.outer(np.sin(angles), up))
    ends = [_lid(grid[0], -runs[0]), _lid(grid[-1], runs[-1])]
    return joined([sheet(grid.transpose(1, 0, 2)), *ends])


def _lid(ring: Numbers, normal: Numbers) -> Solid:
    middle = np.broadcast_to(ring.mean(axis=0), (len(ring) - 1, 3))
    corners = np.stack([middle, ring[:-1], ring[1:]], axis=1)
    return Solid(corners, np.broadcast_to(normal, corners.shape), np.zeros(len(corners), np.int64))


def lofted(sections: Sequence[ArrayLike], *, lids: bool = False) -> Solid:
    """A surface from section to section, each with the same number of points, closed if its ends
    meet.
    """
    grid = np.stack([np.asarray(section, dtype=float) for section in sections])
    body = sheet(grid, strips_of(grid[0]))
    if not lids:
        return body
    runs = unit(grid[-1].mean(axis=0) - grid[0].mean(axis=0))
    return joined([body, _lid(grid[0], -runs), _lid(grid[-1], runs)])


def mirrored(solid: Solid) -> Solid:
    """The same thing for the other side of the car."""
    return solid.scaled(1, -1, 1)
