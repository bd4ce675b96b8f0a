"""The rear of the Finch: its beam axle from below, and a seat bolster lifted inside."""

from __future__ import annotations

import numpy as np

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.hardware import (
    BLACK,
    BODY,
    BOLT,
    CAST,
    DEEP,
    NEAR,
    PLUG,
    RUBBER,
    STEEL,
    fasten,
    hex_bolt,
    nut,
    plug,
    put,
    spring,
    top_of,
    torx_screw,
    wire,
)
from tests.drawn_views.solids import block, hollow, joined, prism, revolved, rod, smooth, tube

REAR, DOWN, UP = (-1, 0, 0), (0, 0, -1), (0, 0, 1)


def _side(scene: Scene, side: int) -> None:
    """One trailing arm with bush, spring and damper, and the tyre outside of it."""
    y = side * 430
    arm = [(420, y, 40), (300, y, 20), (120, y, -10), (0, y, 0), (-70, y + side * 20, 20)]
    scene.add(tube(arm, 34, segments=28), STEEL)
    scene.add(put(hollow(46, 16, 70), (420, y - 35, 40), (0, 1, 0)), RUBBER)
    scene.add(block(90, 130, 60, 10).moved(440, y, 50), NEAR)
    inner = (420, y - side * 36, 40)
    fasten(scene, "axle-bush-bolts", [inner], (0, -side, 0), hex_bolt(30), top_of(30))
    scene.add(
        put(revolved([(0, 0), (66, 0), (70, 12), (0, 12)]), (40, y - side * 70, 6), UP), STEEL
    )
    coil = put(spring(54, 4.4, 210, 8), (40, y - side * 70, 18), UP)
    scene.add(coil, CAST, "rear-springs", (-20, y - side * 70, 64) if side > 0 else None)
    scene.add(put(rod(60, 14), (40, y - side * 70, 226), UP), RUBBER)
    foot = np.array([-92.0, y - side * 10, -6])
    axis = np.array([-0.12, -side * 0.1, 1])
    scene.add(put(joined([rod(26, 200), rod(10, 330)]), foot, axis), STEEL)
    scene.add(put(hollow(24, 9, 44), foot + np.array([0, -22, 0]), (0, 1, 0)), RUBBER)
    bolt = foot + np.array([0.0, -side * 24, 0])
    fasten(scene, "rear-damper-bolts", [bolt], (0, -side, 0), hex_bolt(28), top_of(28))
    tyre = [(200, -90), (290, -97), (314, -80), (318, 0), (314, 80), (290, 97), (200, 90)]
    scene.add(put(revolved(tyre, 72), (-20, side * 660, 40), (0, 1, 0)), DEEP)
    scene.add(put(rod(150, 30), (-20, side * 540, 40), (0, side, 0)), NEAR)
    scene.add(block(1000, 90, 90, 10).moved(40, side * 380, 240), BODY)


def axle() -> Scene:
    """The beam from behind and below, both wheels on."""
    scene = Scene(Camera(186, -27, 1.32, (120, 0, 70), (1600, 1000)))
    scene.add(block(700, 700, 20, 10).moved(20, 0, 320), BODY)
    beam = prism([(-46, -30), (46, -30), (34, 36), (-34, 36)], 860)
    scene.add(put(beam, (150, -430, 10), (0, 1, 0)), STEEL)
    for side in (1, -1):
        _side(scene, side)
    scene.add(block(30, 34, 40, 4).moved(146, 210, 240), BLACK)
    scene.add(block(50, 24, 50, 4).moved(112, 190, 20), STEEL)
    scene.add(tube([(110, 210, 236), (96, 210, 230)], 6), STEEL)
    link = put(rod(7, 170), (96, 210, 62), UP)
    scene.add(link, BOLT, "level-link", (89, 210, 150))
    for z in (62, 232):
        scene.add(put(rod(14, 16), (96, 202, z), (0, 1, 0)), PLUG)
    return scene


def _bolster(scene: Scene) -> None:
    """The bolster lifted off its hooks, its plug behind it."""
    pad = [(-70, 0), (74, 0), (86, 180), (70, 420), (20, 470), (-50, 452), (-84, 260)]
    shape = prism(smooth(np.array(pad), 6, closed=True), 120).turned("x", 90)
    scene.add(shape.turned("z", 16).moved(150, 60, 150), Look(206))
    scene.add(put(block(60, 26, 6, 6), (90, -110, 132), (0, 0, 1)), STEEL)


def bolster() -> Scene:
    """Beside the rear seat at the left, seen from its middle: bolster up, plug and damper nut."""
    scene = Scene(Camera(-52, 26, 2.0, (-60, 0, 210), (1500, 1250)))
    scene.add(block(900, 30, 760, 10).moved(0, 330, -80), BODY)
    dome = [(190, -60), (176, 40), (120, 96), (60, 108), (0, 108)]
    scene.add(put(revolved(dome, 72), (-130, 170, 60), UP), NEAR)
    scene.add(block(900, 560, 40, 10).moved(0, 60, -20), NEAR)
    at = (-130.0, 170.0, 168.0)
    scene.add(put(revolved([(0, 0), (44, 0), (40, 12), (0, 12)]), at, UP), RUBBER)
    fasten(scene, "rear-damper-nuts", [(-130, 170, 180)], UP, nut(26, 26), 44)
    scene.add(block(120, 240, 320, 40).moved(300, -110, 20), BODY)
    _bolster(scene)
    screw = torx_screw(26)
    scene.add(block(90, 60, 8, 8).moved(60, -90, 20), STEEL)
    scene.add(put(screw[0], (60, -100, 28), UP), BOLT)
    scene.add(put(screw[1], (60, -100, 28), UP), Look(70), "bolster-screws", (60, -100, 37.2))
    end = (-10, 60, 214)
    scene.add(
        put(plug(34, 26, 54), end, (-1, -0.4, -0.3)), PLUG, "side-airbag-plugs", (-31, 40, 212)
    )
    lead = [(-62, 40, 196), (-84, 30, 160), (-60, 60, 60), (20, 200, 30)]
    scene.add(wire(lead, 6), BLACK)
    scene.add(put(block(40, 30, 18, 4), (4, 66, 218), (-1, -0.4, -0.3)), PLUG)
    scene.add(wire([(10, 66, 220), (60, 70, 250), (100, 50, 300)], 5), BLACK)
    for z in (60, 300):
        clip = joined([rod(12, 8), rod(6, 26)])
        scene.add(put(clip, (96, 30, 100 + z), (-1, 0.3, 0)), PLUG)
    return scene
