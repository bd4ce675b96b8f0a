"""The Drover's rear axle: its cover, what is under it, the ring gear on the bench, the propshaft's
flange.
"""

from __future__ import annotations

import numpy as np

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.finch_clutch import places
from tests.drawn_views.hardware import (
    ALLOY,
    CAST,
    DEEP,
    NEAR,
    STEEL,
    fasten,
    hex_bolt,
    put,
    top_of,
    twelve_point,
    wire,
)
from tests.drawn_views.solids import (
    Numbers,
    block,
    joined,
    lofted,
    prism,
    revolved,
    rod,
    smooth,
)

REAR = (-1, 0, 0)
COVER = [
    (0, 130),
    (84, 112),
    (128, 44),
    (128, -44),
    (84, -112),
    (0, -130),
    (-84, -112),
    (-128, -44),
]
COVER += [(-128, 44), (-84, 112)]


def _outline(grow: float) -> Numbers:
    return smooth(np.array(COVER) * grow, 8, closed=True)


def _housing(scene: Scene) -> None:
    """The cast housing with both tubes, brake pipes and springs; the face of its cover is at x =
    0.
    """
    face = prism(_outline(1.12), 22).turned("z", -90)
    scene.add(put(face.turned("z", 0), (22, 0, 0), REAR), CAST)
    bowl = [(0, 170), (80, 164), (130, 140), (138, 60), (90, -40), (60, -120), (0, -130)]
    scene.add(put(revolved(bowl, 64), (160, 0, 0), REAR).scaled(1, 1, 0.96), CAST)
    for side in (-1, 1):
        tube_profile = [(74, 0), (70, 60), (52, 90), (46, 130), (46, 700), (0, 700)]
        scene.add(put(revolved(tube_profile), (110, side * 100, 0), (0, side, 0)), CAST)
        scene.add(block(260, 80, 14, 4).moved(110, side * 420, 58), DEEP)
        scene.add(block(1200, 70, 12, 4).moved(110, side * 420, 72), DEEP)
        for x in (60, 160):
            bow = [(x, side * 420 - 36, 90), (x, side * 420 - 36, -50), (x, side * 420, -62)]
            bow += [(x, side * 420 + 36, -50), (x, side * 420 + 36, 90)]
            scene.add(wire(bow, 7), DEEP)
        scene.add(
            wire(
                [(60, side * 560, 56), (66, side * 250, 62), (80, side * 90, 150), (90, 0, 160)], 5
            ),
            STEEL,
        )


def _drain(scene: Scene) -> None:
    """Fill plug at the right of the cover, drain plug at its foot: square holes in round plugs."""
    for name, at, axis in (
        ("axle-fill-plug", (40, -158, -10), (-0.85, -0.5, 0)),
        ("axle-drain-plug", (30, 36, -160), (-0.8, 0.1, -0.6)),
    ):
        scene.add(
            put(joined([rod(24, 12), revolved([(0, 12), (18, 12), (17, 18), (0, 18)])]), at, axis),
            STEEL,
            name,
        )
        hole = prism([(-7, -7), (7, -7), (7, 7), (-7, 7)], 0.6).moved(z=18)
        out = np.array(at) + np.array(axis) / np.linalg.norm(axis) * 18.6
        scene.add(put(hole, at, axis), Look(80), name, out)


def cover() -> Scene:
    """The cover on the axle, its ten bolts."""
    scene = Scene(Camera(187, 5, 2.9, (0, 0, -6), (1600, 1150)))
    _housing(scene)
    pan = prism(_outline(1.11), 6).turned("z", -90)
    scene.add(put(pan, (0, 0, 0), REAR), ALLOY)
    bulge = [np.array(_outline(g)) for g in (0.86, 0.8, 0.66, 0.4)]
    rings = []
    for ring, x in zip(bulge, (-6, -26, -42, -50), strict=True):
        closed = np.vstack([ring, ring[:1]])
        rings.append([(x, -a, b) for a, b in closed])
    scene.add(lofted(rings, lids=True), ALLOY)
    for z in (-36, 0, 36):
        scene.add(put(block(6, 120, 12, 3), (-46, 0, z), REAR).turned("z", 0), ALLOY)
    at = [(-6.0, float(-a), float(b)) for a, b in COVER]
    fasten(scene, "diff-cover-bolts", at, REAR, hex_bolt(18), top_of(18))
    _drain(scene)
    return scene


def _case(scene: Scene, y: float, name: str) -> None:
    """The differential's case with the ring gear, its bolts towards z = the eye."""
    teeth = 41
    gear = []
    for k in range(teeth):
        tooth = (
            prism([(86, -3.2), (108, -2.4), (108, 2.4), (86, 3.2)], 26).turned("y", 16).moved(z=-34)
        )
        gear.append(tooth.turned("x", -6).turned("z", k * 360 / teeth))
    ring = revolved([(60, -30), (98, -30), (110, -6), (110, 0), (60, 0)], 96)
    scene.add(put(joined([ring, *gear]), (0, y, 0), (0, 1, 0)), STEEL)
    flange = [
        (0, 0),
        (95, 0),
        (96, 2),
        (94, 14),
        (62, 16),
        (58, 20),
        (44, 62),
        (32, 66),
        (30, 100),
        (0, 100),
    ]
    scene.add(put(revolved(flange, 96), (0, y, 0), (0, 1, 0)), CAST)
    bearing = [(32, 0), (44, 0), (50, 4), (50, 18), (40, 24), (32, 24)]
    scene.add(put(revolved(bearing, 64), (0, y + 68, 0), (0, 1, 0)), ALLOY)
    scene.add(put(rod(19, 1), (0, y + 100, 0), (0, 1, 0)), Look(100))
    for k in range(2):
        scene.add(
            put(
                block(40, 14, 12, 5).moved(44, 0, 38).turned("z", k * 180 + 20),
                (0, y, 0),
                (0, 1, 0),
            ),
            Look(150),
        )
    fasten(scene, name, places(8, 78, y + 15), (0, 1, 0), hex_bolt(20), top_of(20))


def ring() -> Scene:
    """The ring gear on the differential, in the soft jaws of the vice."""
    scene = Scene(Camera(78, 16, 4.3, (0, 20, -14), (1500, 1200)))
    for side in (-1, 1):
        scene.add(block(26, 150, 80, 4).moved(side * 74, -70, -150), Look(190, around=True))
        scene.add(block(70, 170, 120, 8).moved(side * 122, -70, -200), NEAR)
    scene.add(block(420, 200, 60, 12).moved(0, -70, -260), NEAR)
    scene.add(
        put(revolved([(0, 0), (70, 0), (64, -60), (40, -90), (0, -90)]), (0, -28, 0), (0, 1, 0)),
        CAST,
    )
    _case(scene, 0, "ring-530-bolts")
    return scene


def propshaft() -> Scene:
    """The propshaft's flange on the pinion flange, the axle housing left out."""
    scene = Scene(Camera(154, -14, 4.6, (50, 0, 0), (1500, 1150)))
    shaft = [(0, 0), (22, 0), (22, 18), (28, 24), (0, 24)]
    scene.add(put(revolved(shaft), (-23, 0, 0), (1, 0, 0)), STEEL)
    scene.add(put(rod(20, 0.5), (-23, 0, 0), REAR), Look(150))
    ears = [(32, 60), (60, 32), (60, -32), (32, -60), (-32, -60), (-60, -32), (-60, 32), (-32, 60)]
    web = smooth([(a * 0.98, b * 0.98) for a, b in ears], 6, closed=True)
    scene.add(put(prism(web, 14), (0, 0, 0), (1, 0, 0)), CAST)
    scene.add(put(prism(web, 16), (14, 0, 0), (1, 0, 0)), ALLOY)
    yoke = [(54, 30), (50, 44), (40, 60), (36, 66), (0, 66)]
    scene.add(put(revolved(yoke), (0, 0, 0), (1, 0, 0)), ALLOY)
    for side in (-1, 1):
        scene.add(put(block(34, 16, 86, 8), (60, side * 34, 0), (1, 0, 0)), ALLOY)
        scene.add(put(rod(17, 10), (124, side * 42, 0), (0, side, 0)), STEEL)
    scene.add(put(rod(13, 84), (124, 0, -42), (0, 0, 1)), STEEL)
    fork = block(30, 84, 18, 6)
    for side in (-1, 1):
        scene.add(put(fork, (104, 0, side * 40), (1, 0, 0.0)).turned("y", 0), ALLOY)
    tube_ = [(44, 0), (44, 40), (48, 50), (48, 600), (0, 600)]
    scene.add(put(revolved(tube_), (176, 0, 0), (1, 0, 0)), ALLOY)
    at = [(0.0, -float(x), float(z)) for x, z in ((-32, 32), (32, 32), (32, -32), (-32, -32))]
    fasten(scene, "propshaft-530-bolts", at, REAR, twelve_point(16), 14)
    stroke = block(34, 5, 1, 1)
    scene.add(put(stroke, (16, 0, -60), (0, 0, -1)), Look(90))
    return scene
