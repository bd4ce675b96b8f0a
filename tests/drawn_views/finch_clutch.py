"""The clutch of the Finch: the flywheel on the crank, the pressure plate on the flywheel, and all
of it apart.
"""

from __future__ import annotations

import numpy as np

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.hardware import (
    ALLOY,
    CAST,
    NEAR,
    STEEL,
    centre_line,
    fasten,
    hex_bolt,
    put,
    star,
    top_of,
    twelve_point,
)
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
)

# The gearbox is at the left of the engine: one looks at the flywheel from the left.
LEFT = (0, 1, 0)
HOLE = Look(110)


def places(count: int, radius: float, y: float) -> list[tuple[float, float, float]]:
    """Places on a circle, the first at the top, on clockwise as one sees it."""
    turns = np.radians(90 - np.arange(count) * 360 / count)
    return [(-radius * float(np.cos(t)), y, radius * float(np.sin(t))) for t in turns]


def bell(outer: float) -> Numbers:
    """The outline of the joint between engine and gearbox: round above, wider below."""
    knots = [
        (0, 178),
        (92, 160),
        (160, 98),
        (182, 10),
        (176, -92),
        (150, -150),
        (60, -176),
        (-60, -176),
    ]
    knots += [(-150, -150), (-176, -92), (-182, 10), (-160, 98), (-92, 160)]
    return smooth(np.array(knots) * outer, 8, closed=True)


def bell_places() -> list[tuple[float, float]]:
    """Where engine and gearbox are bolted together: three above, four below."""
    return [(-96, 150), (0, 170), (96, 150), (-172, -20), (-146, -140), (146, -140), (172, -20)]


def _block_face(scene: Scene, y: float = 0) -> None:
    """The face of the engine that the gearbox is bolted to, the crank flange in its middle."""
    scene.add(put(prism(bell(1.0), 26), (0, y - 60, 0), LEFT), NEAR)
    scene.add(put(prism(bell(0.9), 4), (0, y - 36, 0), LEFT), CAST)
    for x, z in bell_places():
        scene.add(put(rod(17, 6), (-x, y - 36, z), LEFT), CAST)
        scene.add(put(rod(7, 1), (-x, y - 30, z), LEFT), HOLE)
    for x in (-160, 160):
        scene.add(
            put(revolved([(0, 0), (8, 0), (8, 14), (6, 18), (0, 18)]), (x, y - 34, 62), LEFT), STEEL
        )
    scene.add(block(520, 40, 150, 30).moved(40, y - 80, 100), NEAR)
    scene.add(block(460, 40, 130, 20).moved(0, y - 80, -290), NEAR)


def flywheel() -> Solid:
    """The steel flywheel with its starter ring, its friction face towards z."""
    teeth = prism(star(90, 136, 130), 14).moved(z=-14)
    face = [(0, 8), (52, 8), (54, 0), (60, 0), (62, 12), (122, 12), (126, 8), (126, -14), (0, -14)]
    return joined([teeth, revolved(face, 120)])


def _flywheel(scene: Scene, y: float) -> None:
    scene.add(put(flywheel(), (0, y, 0), LEFT), ALLOY, "flywheel-180")
    for k, (x, _, z) in enumerate(places(6, 116, 0)):
        scene.add(put(rod(5.4, 1), (x, y + 11.6, z), LEFT), HOLE)
        if k % 2:
            turn = rod(4.5, 14)
            scene.add(put(turn, (x * 0.92 - z * 0.38, y + 10, z * 0.92 + x * 0.38), LEFT), STEEL)
    scene.add(put(hollow(17, 13, 3), (0, y + 8, 0), LEFT), CAST)
    scene.add(put(rod(13, 0.5), (0, y + 8.5, 0), LEFT), HOLE)


def flywheel_face() -> Scene:
    """The flywheel on the crank."""
    scene = Scene(Camera(82, 9, 3.1, (0, 0, 0), (1400, 1200)))
    _block_face(scene)
    _flywheel(scene, 0)
    fasten(scene, "flywheel-180-bolts", places(8, 38, 8), LEFT, twelve_point(14), 13)
    return scene


def cover() -> tuple[Solid, Solid]:
    """The pressure plate: its pressed cover and its diaphragm spring, towards z."""
    shell = [(128, 0), (132, 3), (104, 5), (101, 30), (94, 38), (74, 40), (70, 36), (70, 30)]
    ears = [block(40, 30, 4, 8).moved(114, 0, 3).turned("z", 30 + k * 60) for k in range(6)]
    fingers = []
    for k in range(18):
        outline = [(24, -3), (68, -9.6), (72, 0), (68, 9.6), (24, 3)]
        fingers.append(prism(outline, 2.4).turned("y", 9).moved(z=31).turned("z", k * 20))
    return joined([revolved(shell, 96), *[ear.turned("z", 30) for ear in ears]]), joined(fingers)


def _cover(scene: Scene, y: float) -> None:
    shell, fingers = cover()
    scene.add(put(revolved([(30, 6), (100, 6), (100, 16), (30, 16)]), (0, y, 0), LEFT), CAST)
    scene.add(put(shell, (0, y, 0), LEFT), ALLOY, "clutch-cover-180")
    scene.add(put(fingers, (0, y, 0), LEFT), STEEL)


def _hub(scene: Scene, y: float) -> None:
    """The splined hub of the disc."""
    scene.add(put(hollow(20, 13, 30), (0, y, 0), LEFT), CAST)
    scene.add(put(prism(star(18, 13, 11.4), 6), (0, y, 0), LEFT), HOLE)


def cover_face() -> Scene:
    """The pressure plate on the flywheel."""
    scene = Scene(Camera(82, 9, 3.1, (0, 0, 0), (1400, 1200)))
    _block_face(scene)
    _flywheel(scene, 0)
    _hub(scene, 14)
    _cover(scene, 12)
    fasten(scene, "cover-180-bolts", places(6, 116, 19), LEFT, hex_bolt(14), top_of(14))
    return scene


def _disc(scene: Scene, y: float) -> None:
    facing = [(72, -4), (112, -4), (112, 4), (72, 4), (72, -4)]
    scene.add(put(revolved(facing, 96), (0, y, 0), LEFT), Look(186), "clutch-disc-180")
    for k in range(12):
        rib = block(38, 1.6, 1).moved(92, 0, 3.6).turned("z", k * 30)
        scene.add(put(rib, (0, y, 0), LEFT), HOLE)
    scene.add(put(revolved([(14, -3), (74, -2), (74, 2), (14, 3)], 72), (0, y, 0), LEFT), ALLOY)
    for k in range(4):
        coil = tube([(-15, 44, 3), (0, 46, 4), (15, 44, 3)], 8, segments=16).turned(
            "z", k * 90 + 45
        )
        scene.add(put(coil, (0, y, 0), LEFT), STEEL)
    _hub(scene, y + 1)


def _bearing(scene: Scene, y: float) -> None:
    profile = [(20, 0), (34, 0), (34, 16), (30, 20), (30, 34), (20, 34), (20, 0)]
    scene.add(put(revolved(profile), (0, y, 0), LEFT), STEEL, "release-bearing-180")
    for side in (-1, 1):
        scene.add(put(block(18, 26, 8, 3), (side * 34, y + 26, 0), LEFT), CAST)


def apart() -> Scene:
    """Flywheel, disc, pressure plate and release bearing in the order in which they go on."""
    scene = Scene(Camera(38, 20, 1.72, (0, 215, 0), (1600, 1050)))
    _block_face(scene, -110)
    centre_line(scene, (0, -140, 0), (0, 640, 0))
    _flywheel(scene, 0)
    fasten(scene, "", places(8, 38, 62), LEFT, twelve_point(14) + put(rod(5, 34), (0, 0, -34)), 13)
    _disc(scene, 190)
    _cover(scene, 330)
    bolts = hex_bolt(14) + put(rod(4, 24), (0, 0, -24))
    fasten(scene, "", places(6, 116, 410), LEFT, bolts, 11)
    _bearing(scene, 520)
    scene.mark("flywheel-180", (-88, 12, 40))
    scene.mark("clutch-disc-180", (90, 194, 20))
    scene.mark("clutch-cover-180", (-84, 370, 0))
    scene.mark("release-bearing-180", (-32, 532, -2))
    return scene
