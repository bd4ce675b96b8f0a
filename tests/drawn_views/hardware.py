"""Hardware: bolts, nuts, clamps, plugs, hoses. Heads stand on z = 0 and look along z; sizes are
millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from tests.drawn_views.drawing import Look, Scene
from tests.drawn_views.solids import (
    Numbers,
    Solid,
    block,
    hollow,
    joined,
    prism,
    revolved,
    rod,
    smooth,
    tube,
    unit,
)

ALLOY, STEEL, CAST = Look(250), Look(240), Look(216)
PLASTIC, RUBBER, BLACK = Look(196), Look(158), Look(120)
BOLT, PLUG, HOSE = Look(176), Look(168), Look(150)
BODY = Look(240, around=True)
NEAR = Look(232, around=True)
DEEP = Look(196, around=True)


def put(solid: Solid, at: ArrayLike, axis: ArrayLike = (0, 0, 1)) -> Solid:
    """A thing of z set down at a place, looking along `axis`."""
    x, y, z = (float(value) for value in np.asarray(at, dtype=float))
    return solid.along(axis).moved(x, y, z)


def out(at: ArrayLike, axis: ArrayLike, by: float) -> Numbers:
    """The place so many mm further along an axis."""
    return np.asarray(np.asarray(at, dtype=float) + by * unit(axis))


def nearest(scene: Scene, solid: Solid) -> Numbers:
    """The place of a thing that stands nearest to the eye, about its middle."""
    places = solid.corners.reshape(-1, 3)
    off = (places - places.mean(axis=0)) @ scene.camera.axes().T
    return np.asarray(places[np.argmax(off[:, 2] - np.hypot(off[:, 0], off[:, 1]))])


def polygon(sides: int, across: float, turn: float = 0) -> Numbers:
    """A regular polygon by the width across its flats."""
    angles = np.radians(np.arange(sides) * 360 / sides + turn)
    radius = across / 2 / np.cos(np.pi / sides)
    return np.asarray(radius * np.stack([np.cos(angles), np.sin(angles)], axis=1))


def star(points: int, outer: float, inner: float) -> Numbers:
    """A star of so many points, by its two radii."""
    angles = np.radians(np.arange(2 * points) * 180 / points)
    radius = np.where(np.arange(2 * points) % 2, inner, outer)
    return np.asarray(radius[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1))


def hex_bolt(across: float, shank: float = 0) -> Solid:
    """A hexagon head with its flange; with `shank`, the thread hangs below it."""
    head = across * 0.62
    parts = [
        revolved([(0, 0), (across * 0.78, 0), (across * 0.74, across * 0.14), (0, across * 0.14)]),
        prism(polygon(6, across), head).moved(z=across * 0.14),
        revolved([(across * 0.36, 0), (across * 0.34, across * 0.05), (0, across * 0.05)]).moved(
            z=head + across * 0.14
        ),
    ]
    return joined([*parts, *_shank(across * 0.32, shank)])


def _shank(radius: float, length: float) -> list[Solid]:
    if not length:
        return []
    rings = [(0.0, 0.0)]
    for k in range(int(length / (radius * 0.5))):
        rings += [(radius, k * radius * 0.5), (radius * 0.86, (k + 0.5) * radius * 0.5)]
    return [revolved([*rings, (0, length)], 24).scaled(1, 1, -1)]


def top_of(across: float) -> float:
    """How high a hexagon head stands."""
    return across * 0.8


def twelve_point(across: float) -> Solid:
    """A 12-point head on its flange."""
    return joined(
        [
            revolved([(0, 0), (across * 0.85, 0), (across * 0.8, across * 0.2), (0, across * 0.2)]),
            prism(star(12, across * 0.56, across * 0.49), across * 0.7).moved(z=across * 0.2),
            rod(across * 0.28, across * 0.02).moved(z=across * 0.9),
        ]
    )


def nut(across: float, stud: float = 0) -> Solid:
    """A flange nut with `stud` mm of thread standing out of it."""
    radius = across * 0.3
    rings = [(0.0, 0.0)]
    for k in range(int(stud / 1.6)):
        rings += [(radius, k * 1.6), (radius * 0.88, k * 1.6 + 0.8)]
    parts = [
        revolved([(0, 0), (across * 0.78, 0), (across * 0.72, across * 0.16), (0, across * 0.16)]),
        prism(polygon(6, across), across * 0.75),
    ]
    if stud:
        parts.append(revolved([*rings, (0, stud)], 24).moved(z=across * 0.75))
    return joined(parts)


def tube_nut(across: float) -> Solid:
    """The union nut of a pipe, its pipe's bead behind it."""
    return joined(
        [
            prism(polygon(6, across), across * 0.9),
            rod(across * 0.38, across * 0.3).moved(z=across * 0.9),
        ]
    )


def hollow_banjo(radius: float) -> Solid:
    """The eye of a line that a hollow bolt goes through, a washer on both its sides."""
    return joined(
        [
            hollow(radius * 0.8, radius * 0.4, 3),
            hollow(radius, radius * 0.4, 10).moved(z=3),
            hollow(radius * 0.8, radius * 0.4, 3).moved(z=13),
        ]
    )


def socket_screw(diameter: float) -> tuple[Solid, Solid]:
    """A cap screw and the socket in its head, which is drawn dark."""
    cap = revolved(
        [
            (0, 0),
            (diameter / 2, 0),
            (diameter / 2, diameter * 0.5),
            (diameter * 0.44, diameter * 0.58),
            (0, diameter * 0.58),
        ]
    )
    return cap, prism(polygon(6, diameter * 0.5), diameter * 0.01).moved(z=diameter * 0.58)


def torx_screw(diameter: float) -> tuple[Solid, Solid]:
    """A pan-head screw and its six-lobe recess, which is drawn dark."""
    head = revolved(
        [
            (0, 0),
            (diameter / 2, 0),
            (diameter / 2, diameter * 0.12),
            (diameter * 0.4, diameter * 0.3),
            (diameter * 0.3, diameter * 0.34),
            (0, diameter * 0.34),
        ]
    )
    return head, prism(star(6, diameter * 0.25, diameter * 0.17), 0.2).moved(z=diameter * 0.34)


def wheel_nut(across: float) -> Solid:
    """A cone nut with a domed end."""
    return joined(
        [
            revolved(
                [(0, 0), (across * 0.62, 0), (across * 0.62, across * 0.2), (0, across * 0.2)]
            ),
            prism(polygon(6, across), across * 0.75).moved(z=across * 0.2),
            revolved(
                [
                    (across * 0.46, 0),
                    (across * 0.4, across * 0.2),
                    (across * 0.2, across * 0.3),
                    (0, across * 0.32),
                ]
            ).moved(z=across * 0.95),
        ]
    )


def clamp(radius: float, screw: float = 0) -> Solid:
    """A worm-drive clamp about z: band, housing, screw; the housing stands at `screw` degrees."""
    wide = max(9.0, radius * 0.35)
    band = hollow(radius + 1.5, radius - 2, wide).moved(z=-wide / 2)
    house = block(10 + radius * 0.16, 24, wide + 3, 2).moved(radius + 4, 0, -wide / 2 - 1.5)
    worm = put(
        joined([rod(5, 8), prism(polygon(6, 9), 6).moved(z=6)]), (radius + 5, 10, 0), (0, 1, 0)
    )
    return joined([band, joined([house, worm]).turned("z", screw)])


def clamp_screw(radius: float, screw: float) -> Numbers:
    """Where the head of a clamp's screw is."""
    turn = np.radians(screw)
    x, y = radius + 5, 24
    return np.array([x * np.cos(turn) - y * np.sin(turn), x * np.sin(turn) + y * np.cos(turn), 0.0])


def plug(width: float = 22, height: float = 16, length: float = 34) -> Solid:
    """A plug that is pushed on from +z: its housing with two ribs, latch, collar and boot."""
    return joined(
        [
            block(width, height, length * 0.62, 3),
            block(width + 4, height + 4, length * 0.14, 3).moved(z=length * 0.08),
            block(width * 0.42, 5, length * 0.5, 1).moved(0, height / 2 + 2.5, length * 0.12),
            block(width * 0.3, 3, length * 0.12, 1).moved(0, height / 2 + 6, length * 0.5),
            block(width * 0.82, height * 0.82, length * 0.2, 3).moved(z=length * 0.6),
            revolved(
                [(0, 0), (height * 0.34, 0), (height * 0.26, length * 0.3), (0, length * 0.3)]
            ).moved(z=length * 0.78),
        ]
    )


def hose(path: ArrayLike, radius: float) -> Solid:
    """A rubber hose with a bead at both ends."""
    line = smooth(path, 12)
    length = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    bead = min(6.0, radius * 0.3)

    def size(at: float) -> float:
        near = min(at, length - at)
        return radius * (1.08 if near < bead else 1.0)

    return tube(path, size, steps=14, segments=28)


def bellows(path: ArrayLike, radius: float, pitch: float = 9) -> Solid:
    """A hose with folds."""
    return tube(
        path, lambda at: radius * (1 + 0.09 * np.sin(2 * np.pi * at / pitch)), steps=40, segments=28
    )


def wire(path: ArrayLike, radius: float = 3) -> Solid:
    """A lead."""
    return tube(path, radius, steps=12, segments=10)


def spring(radius: float, turns: float, height: float, thick: float, ends: float = 0.8) -> Solid:
    """A coil spring from z = 0 up, its last turns flatter."""
    t = np.linspace(0, 1, int(turns * 36))
    rise = np.interp(t, [0, ends / turns, 1 - ends / turns, 1], [0, 0.07, 0.93, 1]) * height
    turn = 2 * np.pi * turns * t
    line = np.stack([radius * np.cos(turn), radius * np.sin(turn), rise], axis=1)
    return tube(line, thick, steps=1, segments=16)


def centre_line(scene: Scene, start: ArrayLike, end: ArrayLike, thick: float = 0.9) -> None:
    """The chain line by which a thing that is drawn apart goes into its place."""
    a, b = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    length, at = float(np.linalg.norm(b - a)), 0.0
    dash = 12.0 / scene.camera.scale * 1.6
    for k in range(400):
        piece = dash * (1.9 if k % 2 == 0 else 0.35)
        if at + piece > length:
            break
        scene.add(
            put(rod(thick / scene.camera.scale, piece, 8), out(a, b - a, at), b - a),
            Look(40, around=True),
        )
        at += piece + dash * 0.6


def fasten(
    scene: Scene,
    name: str,
    places: Sequence[ArrayLike],
    axis: ArrayLike,
    solid: Solid,
    top: float,
    seen: Sequence[int] | None = None,
) -> None:
    """One kind of bolt at each place of a joint, in the joint's order of places; `seen`: those in
    sight.
    """
    for k, at in enumerate(places):
        point = out(at, axis, top) if seen is None or k in seen else None
        scene.add(put(solid, at, axis), BOLT, name, point)


def fasten_dark(
    scene: Scene,
    name: str,
    places: Sequence[ArrayLike],
    axis: ArrayLike,
    screw: tuple[Solid, Solid],
    top: float,
) -> None:
    """Screws with a recess at each place of a joint."""
    for at in places:
        scene.add(put(screw[0], at, axis), BOLT)
        scene.add(put(screw[1], at, axis), Look(70), name, out(at, axis, top))
