"""From solids to a picture: what is seen, in four tones, with an outline in two weights.

A line is heavy where one surface stands before another, and light where two of them meet: the
thick and the
thin line of technical illustration (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, radians, sin

import numpy as np
from numpy.typing import ArrayLike, NDArray
from PIL import Image

from tests.drawn_views.solids import Numbers, Solid, unit

BACKGROUND = 226
HEAVY, LIGHT = 3.4, 1.5  # widths of line in pixels of the picture
INK, FAINT_INK = 28, 128
GAP = 5.0  # mm: from this depth on one surface stands before another

Pixels = NDArray[np.int32]


@dataclass(frozen=True)
class Look:
    """How a thing is drawn: its lightest grey, and whether it only says where one is."""

    grey: int
    around: bool = False


@dataclass(frozen=True)
class Camera:
    """From where one looks, without vanishing points: degrees, pixels a millimetre, mm in the
    middle.

    `turn` 0 stands before the car, 90 at its left, 180 behind it; `height` 90 stands above, -90
    below. `up` is what
    points up in the picture.
    """

    turn: float
    height: float
    scale: float
    middle: tuple[float, float, float]
    size: tuple[int, int] = (1600, 1200)
    up: tuple[float, float, float] = (0, 0, 1)

    def axes(self) -> Numbers:
        """Right, up and towards the eye (3, 3), each a row."""
        a, e = radians(self.turn), radians(self.height)
        eye = np.array([cos(e) * cos(a), cos(e) * sin(a), sin(e)])
        right = unit(np.cross(np.array(self.up, dtype=float), eye))
        return np.stack([right, np.cross(eye, right), eye])

    def seen(self, points: ArrayLike) -> Numbers:
        """Where points (..., 3) stand in the picture: pixels from its left and top, and mm towards
        the eye.
        """
        away = (np.asarray(points, dtype=float) - np.array(self.middle)) @ self.axes().T
        width, height = self.size
        x = width / 2 + away[..., 0] * self.scale
        y = height / 2 - away[..., 1] * self.scale
        return np.stack([x, y, away[..., 2]], axis=-1)


@dataclass
class Scene:
    """What stands in a view: things in their places, and the points by which the manual's names
    are known.
    """

    camera: Camera
    things: list[tuple[Solid, Look, str]] = field(default_factory=list)
    points: dict[str, list[tuple[float, float, float]]] = field(default_factory=dict)

    def add(self, solid: Solid, look: Look, name: str = "", at: ArrayLike | None = None) -> None:
        """Set a thing into the view; with `name` and `at`, the place in mm where the manual's
        thing is seen.
        """
        self.things.append((solid, look, name))
        if name and at is not None:
            self.mark(name, at)

    def mark(self, name: str, at: ArrayLike) -> None:
        """One more place in mm where a thing of that name is seen."""
        x, y, z = (float(value) for value in np.asarray(at, dtype=float))
        self.points.setdefault(name, []).append((x, y, z))

    def shows(self) -> dict[str, list[tuple[int, int]]]:
        """The points of each of the manual's things, in pixels of the picture."""
        return {
            name: [(round(x), round(y)) for x, y, _ in self.camera.seen(places)]
            for name, places in self.points.items()
        }


@dataclass(frozen=True)
class Sight:
    """What is seen at each pixel: depth towards the eye, face, thing (-1: nothing) and grey."""

    depth: NDArray[np.float32]
    face: Pixels
    thing: Pixels
    grey: NDArray[np.uint8]


def look_at(scene: Scene, scale: float) -> Sight:
    """The view at `scale` times its size, each pixel with what stands nearest to the eye."""
    camera = scene.camera
    width, height = (round(side * scale) for side in camera.size)
    sight = Sight(
        np.full((height, width), -np.inf, dtype=np.float32),
        np.full((height, width), -1, dtype=np.int32),
        np.full((height, width), -1, dtype=np.int32),
        np.full((height, width), BACKGROUND, dtype=np.uint8),
    )
    if scene.things:
        _fill(sight, _seen_triangles(scene, scale))
        sight.grey[:] = np.where(sight.thing >= 0, _steps(sight, scene), sight.grey)
    return sight


@dataclass(frozen=True)
class _Triangles:
    """All triangles of a view, in its pixels: corners (n, 3, 3), tones (n, 3), faces and things
    (n).
    """

    corners: Numbers
    tones: Numbers
    faces: NDArray[np.int64]
    things: NDArray[np.int64]

    def __getitem__(self, some: NDArray[np.int64]) -> _Triangles:
        return _Triangles(self.corners[some], self.tones[some], self.faces[some], self.things[some])


def _seen_triangles(scene: Scene, scale: float) -> _Triangles:
    """The triangles of a view that have any size in it, the nearest first."""
    camera, first, parts = scene.camera, 0, []
    for number, (solid, look, _) in enumerate(scene.things):
        corners = camera.seen(solid.corners) * np.array([scale, scale, 1.0])
        tones = _tones(solid.normals @ camera.axes().T, look)
        things = np.full(len(corners), number)
        parts.append((corners, tones, solid.faces + first, things))
        first += int(solid.faces.max()) + 1
    found = _Triangles(
        np.concatenate([part[0] for part in parts]),
        np.concatenate([part[1] for part in parts]),
        np.concatenate([part[2] for part in parts]),
        np.concatenate([part[3] for part in parts]),
    )
    a, b, c = (found.corners[:, i] for i in range(3))
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    near = np.argsort(-found.corners[:, :, 2].max(axis=1), kind="stable")
    return found[near[np.abs(area[near]) > 1e-6]]


def _tones(normals: Numbers, look: Look) -> Numbers:
    """How light each corner is (n, 3), 0 to 100: the light comes over the left shoulder."""
    towards = np.where(normals[..., 2:] < 0, -normals, normals)
    lit = towards @ unit([-0.45, 0.65, 0.75])
    return np.asarray(50 + 50 * np.clip(lit, -1, 1) if not look.around else 75 + 25 * lit)


def _steps(sight: Sight, scene: Scene) -> NDArray[np.uint8]:
    """Greys in four steps, so that a round thing has bands and no haze."""
    greys = np.array([look.grey for _, look, _ in scene.things] or [0])
    lit = sight.grey.astype(np.int32)
    step = np.digitize(lit, [62, 78, 93])
    tone = greys[np.maximum(sight.thing, 0)] + np.array([-46, -26, -10, 0])[step]
    return np.asarray(np.clip(tone, 0, 255), dtype=np.uint8)


def _fill(sight: Sight, all_of_them: _Triangles) -> None:
    """Triangles into the view: of each the rows that it covers, of each row the pixels."""
    height, width = sight.depth.shape
    y = all_of_them.corners[:, :, 1]
    top = np.clip(np.floor(y.min(axis=1)), 0, height).astype(np.int64)
    count = np.clip(np.ceil(y.max(axis=1)), 0, height).astype(np.int64) - top
    # Some at a time: what stands behind what is already there is dropped early.
    ends = np.searchsorted(np.cumsum(count), np.arange(100_000, count.sum() + 100_000, 100_000))
    for start, end in zip([0, *ends + 1], [*ends + 1, len(count)], strict=True):
        some = np.arange(start, min(end, len(count)))
        if len(some):
            which = np.repeat(some, count[some])
            rows = _counted(count[some]) + top[which]
            _fill_rows(sight, all_of_them[which], rows, width)


def _counted(count: NDArray[np.int64]) -> NDArray[np.int64]:
    """0, 1, 2 … for each of the counts, one after the other."""
    starts = np.cumsum(count) - count
    return np.arange(count.sum()) - np.repeat(starts, count)


def _fill_rows(sight: Sight, row: _Triangles, y: NDArray[np.int64], width: int) -> None:
    """One row of pixels of each triangle."""
    (x0, y0), (x1, y1), (x2, y2) = (row.corners[:, i, :2].T for i in range(3))
    area = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
    bx, cx = (y2 - y0) / area, -(y1 - y0) / area
    b0 = (-x0 * (y2 - y0) - (x2 - x0) * (y + 0.5 - y0)) / area
    c0 = ((x1 - x0) * (y + 0.5 - y0) + x0 * (y1 - y0)) / area
    low, high = np.zeros(len(y)), np.full(len(y), float(width))
    for at, rise in ((b0, bx), (c0, cx), (1 - b0 - c0, -bx - cx)):
        flat = np.abs(rise) < 1e-12
        cut = -(at + 1e-6) / np.where(flat, 1, rise)
        low = np.where(~flat & (rise > 0), np.maximum(low, cut), low)
        high = np.where(~flat & (rise < 0), np.minimum(high, cut), high)
        high = np.where(flat & (at < -1e-6), -1, high)
    first = np.ceil(low - 0.5).astype(np.int64)
    count = np.maximum(np.minimum(np.floor(high - 0.5).astype(np.int64), width - 1) - first + 1, 0)
    of = np.repeat(np.arange(len(y)), count)
    x = _counted(count) + first[of]
    b = b0[of] + bx[of] * (x + 0.5)
    c = c0[of] + cx[of] * (x + 0.5)
    _write(sight, row, of, y[of] * width + x, np.stack([1 - b - c, b, c], axis=1))


def _write(
    sight: Sight, row: _Triangles, of: NDArray[np.int64], pixel: NDArray[np.int64], shares: Numbers
) -> None:
    """Pixels into the view, each where it stands before what is there."""
    depth = sight.depth.reshape(-1)
    z = np.sum(shares * row.corners[of][:, :, 2], axis=1).astype(np.float32)
    front = np.flatnonzero(z > depth[pixel])
    of, pixel, z, shares = of[front], pixel[front], z[front], shares[front]
    np.maximum.at(depth, pixel, z)
    won = np.flatnonzero(z == depth[pixel])
    of, pixel, shares = of[won], pixel[won], shares[won]
    sight.face.reshape(-1)[pixel] = row.faces[of]
    sight.thing.reshape(-1)[pixel] = row.things[of]
    sight.grey.reshape(-1)[pixel] = np.clip(np.sum(shares * row.tones[of], axis=1), 0, 100)


def _edges(
    sight: Sight, around: NDArray[np.bool_]
) -> tuple[NDArray[np.bool_], NDArray[np.bool_], NDArray[np.bool_]]:
    """Where a heavy, a light and a faint line runs."""
    heavy, light, faint = (np.zeros(sight.depth.shape, dtype=bool) for _ in range(3))
    depth = np.where(np.isinf(sight.depth), -1e5, sight.depth)
    for here, there in ((np.s_[:, :-1], np.s_[:, 1:]), (np.s_[:-1], np.s_[1:])):
        gap = np.abs(depth[here] - depth[there]) > GAP
        other = sight.face[here] != sight.face[there]
        near = depth[here] >= depth[there]
        thing = np.where(near, sight.thing[here], sight.thing[there])
        heavy[here] |= gap & other
        # A round thing turns away from the eye without an end; what passes before itself ends.
        light[here] |= (other & ~gap) | (~other & (np.abs(depth[here] - depth[there]) > 6 * GAP))
        faint[here] |= other & around[thing]
    return heavy, light, faint


def _thick(mask: NDArray[np.bool_], width: float) -> NDArray[np.bool_]:
    """A line drawn with a round pen of that width in pixels."""
    reach = int(width / 2 + 0.5)
    rows, columns = mask.shape
    found = np.zeros((rows + 2 * reach, columns + 2 * reach), dtype=bool)
    y, x = np.nonzero(mask)
    for dy in range(2 * reach + 1):
        for dx in range(2 * reach + 1):
            if (dx - reach) ** 2 + (dy - reach) ** 2 <= (width / 2) ** 2:
                found[y + dy, x + dx] = True
    return found[reach : reach + rows, reach : reach + columns]


def inked(scene: Scene, sight: Sight, pen: float) -> Image.Image:
    """What is seen, with its lines, `pen` times as wide as in the picture."""
    around = np.array([look.around for _, look, _ in scene.things])
    heavy, light, faint = _edges(sight, around)
    grey = sight.grey.copy()
    grey[_thick(faint, LIGHT * pen)] = FAINT_INK
    grey[_thick(light & ~faint, LIGHT * pen)] = INK
    grey[_thick(heavy & ~faint, HEAVY * pen)] = INK
    return Image.fromarray(grey)


def drawn(scene: Scene, fine: int = 2) -> Image.Image:
    """The picture in grey, drawn `fine` times as large and then reduced."""
    return inked(scene, look_at(scene, fine), fine).reduce(fine)
