"""Wheels on the car: one corner of the body with its wheel, seen from the side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.hardware import ALLOY, BODY, DEEP, NEAR, RUBBER, fasten, put, wheel_nut
from tests.drawn_views.solids import (
    Solid,
    block,
    hollow,
    prism,
    revolved,
    smooth,
)

DARK = Look(178, around=True)


def round_places(count: int, radius: float, side: int) -> list[tuple[float, float, float]]:
    """Places on a circle seen from the side of the car, clockwise from its top."""
    turns = np.radians(90 - np.arange(count) * 360 / count)
    return [(-side * radius * np.cos(t), 0.0, radius * np.sin(t)) for t in turns]


def _tyre(radius: float, rim: float, wide: float) -> Solid:
    half, wall = wide / 2, radius - rim
    profile = [(rim, half * 0.86), (rim + wall * 0.12, half * 0.98), (rim + wall * 0.5, half)]
    profile += [
        (radius - wall * 0.16, half * 0.88),
        (radius - 6, half * 0.74),
        (radius, half * 0.6),
    ]
    profile += [(radius, -half * 0.6), (rim, -half * 0.8)]
    return revolved(profile, 96)


def _rim(rim: float, wide: float, spokes: int, hub: float) -> list[tuple[Solid, Look]]:
    """An alloy rim about the origin, its face towards z."""
    found = []
    barrel = [
        (rim + 4, wide * 0.46),
        (rim - 2, wide * 0.46),
        (rim - 14, wide * 0.34),
        (rim - 24, -wide * 0.3),
    ]
    barrel += [(rim - 60, -wide * 0.42), (30, -wide * 0.42)]
    found.append((revolved(barrel, 96), Look(206)))
    disc = [(60, 0), (rim - 36, 0), (rim - 36, 6), (60, 6)]
    found.append((revolved(disc, 64).moved(z=-20), Look(182)))
    arm = smooth([(hub * 0.7, -20), (hub * 1.5, -13), (rim - 20, -17), (rim - 6, -24)], 6)
    back = arm[::-1] * np.array([1, -1])
    one = prism(np.vstack([arm, back]), 30)
    for k in range(spokes):
        turn = 90 + (k + 0.5) * 360 / spokes
        found.append((one.turned("z", turn).moved(z=wide * 0.14), ALLOY))
    face = [(0, 24), (31, 24), (33, 30), (hub - 6, 30), (hub, 22), (hub, -10)]
    found.append((revolved(face, 72).moved(z=wide * 0.14 + 2), ALLOY))
    found.append((revolved([(0, 5), (26, 4), (30, 0)], 48).moved(z=wide * 0.14 + 27), NEAR))
    return found


def panel(
    scene: Scene, outline: Sequence[tuple[float, float]], side: int, y: float, look: Look = BODY
) -> None:
    """A panel of the body's side, by its outline in x and z."""
    flat = np.array(outline)
    solid = prism(flat * np.array([1, 1]), 14).turned("x", 90)
    scene.add(solid.moved(y=side * y + (14 if side > 0 else 0)), look)


def arch(
    radius: float, middle: float, start: float = 180, end: float = 0
) -> list[tuple[float, float]]:
    """The points of a wheel arch in x and z, from its back over the top to its front."""
    turns = np.radians(np.linspace(start, end, 25))
    return [(radius * float(np.cos(t)), middle + radius * float(np.sin(t))) for t in turns]


def wheel(
    scene: Scene, name: str, side: int, size: tuple[float, float, float], nuts: tuple[int, float]
) -> None:
    """A wheel with its nuts: tyre's and rim's radius, width; how many nuts on which circle."""
    radius, rim, wide = size
    spokes, circle = nuts
    for solid, look in [(_tyre(radius, rim, wide), RUBBER), *_rim(rim, wide, spokes, circle + 24)]:
        scene.add(put(solid, (0, 0, radius), (0, side, 0)), look)
    out_by = wide * 0.14 + 32
    places = [(x, side * out_by, z + radius) for x, _, z in round_places(spokes, circle, side)]
    for x, y, z in places:
        scene.add(put(hollow(18, 14, 1), (x, y, z), (0, side, 0)), Look(150))
    fasten(scene, name, places, (0, side, 0), wheel_nut(19 if spokes == 5 else 22), 24)


def finch_wheel(name: str, side: int, front: bool) -> Scene:
    """One wheel of the Finch, with the wing or the rear side over it."""
    scene = Scene(
        Camera(
            90 * side - (10 if front else -10) * side, 7, 1.62, (0, side * 60, 330), (1400, 1080)
        )
    )
    scene.add(block(760, 20, 560, 0).moved(0, side * -240, 185), DARK)
    hood = arch(352, 318)
    bottom = 180.0
    if front:
        wing = [(-352, bottom), *hood, (352, bottom), (640, bottom), (700, 420), (640, 640)]
        panel(scene, [*wing, (380, 800), (-396, 860), (-396, bottom)], side, 84)
        panel(scene, [(-402, bottom), (-402, 880), (-1100, 900), (-1100, bottom)], side, 84)
        lamp = smooth([(470, 600), (560, 520), (640, 540), (620, 640), (500, 690)], 6, closed=True)
        panel(scene, [(float(x), float(z)) for x, z in lamp], side, 92, NEAR)
    else:
        rear = [(-352, bottom), *hood, (352, bottom), (398, bottom), (520, 560), (560, 900)]
        panel(scene, [*rear, (-640, 900), (-680, 620), (-640, bottom)], side, 84)
        panel(scene, [(404, bottom), (526, 560), (566, 900), (1100, 900), (1100, bottom)], side, 84)
        lamp = smooth(
            [(-560, 600), (-480, 640), (-470, 760), (-640, 760), (-650, 600)], 6, closed=True
        )
        panel(scene, [(float(x), float(z)) for x, z in lamp], side, 92, NEAR)
    end = -1 if front else 1
    sill = [(end * 1100.0, 90.0), (end * 420.0, 90.0), (end * 400.0, 178.0), (end * 1100.0, 178.0)]
    panel(scene, sill, side, 66, NEAR)
    wheel(scene, name, side, (316, 218, 190), (5, 54))
    return scene


def drover_wheel(name: str, side: int) -> Scene:
    """A rear wheel of the Drover under its bed."""
    scene = Scene(Camera(90 * side + 10 * side, 7, 1.42, (0, side * 60, 400), (1400, 1180)))
    scene.add(block(960, 20, 540, 0).moved(0, side * -300, 335), DARK)
    hood = arch(440, 410)
    panel(
        scene,
        [(-440, 330), *hood, (440, 330), (620, 330), (640, 980), (-900, 980), (-900, 330)],
        side,
        84,
    )
    panel(scene, [(700, 330), (690, 980), (1200, 980), (1200, 300)], side, 84)
    lamp = [(-700, 560), (-640, 560), (-640, 900), (-700, 900)]
    panel(scene, lamp, side, 92, NEAR)
    scene.add(block(1500, 60, 120, 8).moved(100, side * -120, 330), DEEP)
    wheel(scene, name, side, (392, 222, 230), (6, 70))
    return scene
