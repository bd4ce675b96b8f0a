"""Coolers and what stands at the front of a car: cores, tanks, radiator, beam, lamps."""

from __future__ import annotations

import numpy as np

from tests.drawn_views.drawing import Look, Scene
from tests.drawn_views.hardware import ALLOY, BODY, CAST, DEEP, NEAR, put
from tests.drawn_views.solids import (
    Numbers,
    Solid,
    block,
    hollow,
    joined,
    lofted,
    mirrored,
    prism,
    revolved,
    rod,
    rounded,
    sheet,
    smooth,
)


def finned(width: float, height: float, depth: float, rows: int) -> Solid:
    """A core of flat tubes with fins between, in y and z, its front at x = 0."""
    step = height / rows
    parts = []
    for k in range(rows):
        z = -height / 2 + k * step
        tube = rounded(depth, step * 0.42, step * 0.2)
        parts.append(put(prism(tube, width), (-depth / 2, -width / 2, z + step * 0.22), (0, 1, 0)))
        parts.append(_fins(width, step * 0.58, z + step * 0.42).moved(x=-6))
    return joined(parts)


def _fins(width: float, height: float, z: float) -> Solid:
    count = int(width / 9)
    y = np.linspace(-width / 2, width / 2, count + 1)
    grid = np.zeros((2, count + 1, 3))
    grid[:, :, 1] = y
    grid[0, :, 2], grid[1, :, 2] = z, z + height
    return sheet(grid, np.arange(count))


def tank(width: float, height: float, depth: float) -> Solid:
    """An end tank of a cooler, cast, standing in z, its inner side at y = 0 and the tank towards
    +y.
    """
    sections = []
    for y, size in ((0.0, 1.0), (0.35, 1.0), (0.75, 0.92), (0.95, 0.78), (1.0, 0.7)):
        outline = rounded(depth * (0.5 + 0.5 * size), height * size, 14 * size)
        ring = np.vstack([outline, outline[:1]])
        sections.append(np.stack([ring[:, 0], np.full(len(ring), y * width), ring[:, 1]], axis=1))
    rib = [put(block(depth + 5, height + 5, 9, 8), (0, 0, 0), (0, 1, 0))]
    return joined([lofted(sections, lids=True), *rib])


def port(radius: float, length: float) -> Solid:
    """A pipe stub with its bead, from z = 0 up."""
    return revolved(
        [
            (radius, 0),
            (radius, length * 0.7),
            (radius * 1.1, length * 0.78),
            (radius, length * 0.86),
            (radius, length),
            (radius * 0.86, length),
            (radius * 0.86, length * 0.3),
            (0, length * 0.3),
        ]
    )


def cooler(scene: Scene, width: float, height: float, middle: Numbers, depth: float = 60) -> None:
    """A charge-air cooler across the car: core, both tanks, lugless."""
    x, y, z = middle
    rows = round(height / 18)
    scene.add(finned(width, height, depth, rows).moved(x + depth / 2, y, z), ALLOY)
    for top in (1, -1):
        scene.add(block(depth + 8, width, 8, 2).moved(x, y, z + top * (height / 2 + 4) - 4), ALLOY)
    left = tank(70, height + 14, depth + 6).moved(x, y + width / 2, z)
    scene.add(left, CAST)
    scene.add(mirrored(left.moved(y=-y)).moved(y=y), CAST)


def lug(scene: Scene, at: Numbers, back: float = 26) -> None:
    """An eye for a bolt that is driven from the front, its rubber ring in it."""
    x, y, z = at
    scene.add(put(rod(19, back), (x - back, y, z), (1, 0, 0)), CAST)
    scene.add(put(hollow(14, 6, 2), (x, y, z), (1, 0, 0)), Look(150))


def front_of_finch(scene: Scene) -> None:
    """What stays when the bumper cover is off: radiator, slam panel, beam, rails, lamps, wings."""
    scene.add(finned(640, 460, 30, 24).moved(-95, 0, 440), NEAR)
    for side in (1, -1):
        scene.add(
            put(block(60, 470, 40, 8), (-110, side * 345, 430), (0, 0, 1)).turned("z", 0), NEAR
        )
        scene.add(tank(40, 450, 44).scaled(1, side, 1).moved(-110, side * 320, 430), NEAR)
    beam = [
        np.vstack([box, box[:1]]) for box in (_beam_section(y) for y in np.linspace(-640, 640, 33))
    ]
    scene.add(lofted(beam, lids=True), NEAR)
    slam = [np.vstack([b, b[:1]]) for b in (_slam_section(y) for y in np.linspace(-690, 690, 29))]
    scene.add(lofted(slam, lids=True), BODY)
    for side in (1, -1):
        scene.add(block(420, 74, 118, 10).moved(-150, side * 520, 560), DEEP)
        scene.add(put(block(150, 120, 10, 12), (62, side * 520, 622), (1, 0, 0)), NEAR)
        scene.add(_lamp().scaled(1, side, 1).moved(20, side * 600, 700), BODY)
        scene.add(_wing().scaled(1, side, 1), BODY)
        scene.add(front_tyre(side), DEEP)


def _beam_section(y: float) -> Numbers:
    x = 150 - 80 * (abs(y) / 640) ** 2.2
    outline = rounded(56, 96, 10)
    return np.stack([x + outline[:, 0], np.full(len(outline), y), 622 + outline[:, 1]], axis=1)


def _slam_section(y: float) -> Numbers:
    x = 40 - 130 * (abs(y) / 690) ** 2.4
    outline = rounded(90, 34, 8)
    return np.stack([x - 70 + outline[:, 0], np.full(len(outline), y), 800 + outline[:, 1]], axis=1)


def _lamp() -> Solid:
    outline = smooth(
        [(-120, -52), (20, -62), (130, -40), (175, 20), (150, 62), (40, 58), (-100, 26)],
        8,
        closed=True,
    )
    lens = prism(outline, 60).turned("y", 90).turned("x", 90)
    ring = put(hollow(46, 38, 8), (62, 10, -6), (1, 0, 0))
    return joined(
        [lens.moved(x=0), ring, put(revolved([(0, 8), (30, 4), (38, 0)]), (62, 10, -6), (1, 0, 0))]
    )


def _wing() -> Solid:
    """The left wing's front edge with the start of its arch."""
    sections = []
    for k, x in enumerate(np.linspace(-40, -700, 12)):
        out = 760 + 70 * np.sin(min(k / 6, 1) * np.pi / 2)
        low = 470 if k < 2 else 640 + 90 * np.sin(min((k - 2) / 5, 1) * np.pi / 2)
        sections.append(
            [
                (x, out - 14, low),
                (x, out, low + 60),
                (x, out - 6, 760),
                (x, out - 60, 860),
                (x, out - 130, 900),
            ]
        )
    return lofted([smooth(section, 4) for section in sections])


def front_tyre(side: int) -> Solid:
    """A front tyre that one sees past the coolers."""
    profile = [(200, -90), (290, -97), (312, -80), (318, 0), (312, 80), (290, 97), (200, 90)]
    return put(revolved(profile, 64), (-560, side * 720, 318), (0, 1, 0))
