"""The Finch from below: its undertray, the starter, and what cools the oil of the automatic."""

from __future__ import annotations

import numpy as np

from tests.drawn_views import coolers
from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.finch_clutch import bell
from tests.drawn_views.hardware import (
    ALLOY,
    BLACK,
    BODY,
    BOLT,
    CAST,
    DEEP,
    NEAR,
    PLASTIC,
    PLUG,
    STEEL,
    fasten,
    fasten_dark,
    hex_bolt,
    nut,
    plug,
    put,
    top_of,
    torx_screw,
    tube_nut,
    wire,
)
from tests.drawn_views.solids import block, joined, prism, revolved, rod, smooth, tube

DOWN, FRONT, LEFT, RIGHT = (0, 0, -1), (1, 0, 0), (0, 1, 0), (0, -1, 0)
SCREWS = [(330, -300), (360, 0), (330, 300), (60, -400), (60, 400), (-150, -330), (-150, 330)]
SCREWS += [(-300, -180), (-300, 180)]


def undertray() -> Scene:
    """The tray from below, its nine screws, the lip of the bumper before it."""
    scene = Scene(Camera(180, -74, 1.45, (20, 0, 0), (1600, 1200)))
    edge = [(380, -330), (412, 0), (380, 330), (120, 440), (-170, 380), (-340, 210)]
    edge += [(-340, -210), (-170, -380), (120, -440)]
    scene.add(prism(smooth(np.array(edge), 6, closed=True), 6), PLASTIC)
    for y in (-200, -100, 0, 100, 200):
        scene.add(block(420, 26, 10, 10).moved(40, y, -10), PLASTIC)
    scene.add(block(90, 130, 1, 12).moved(-240, 0, -1), Look(120))
    lip = [(470 - 130 * (abs(y) / 520) ** 2, float(y), 20.0) for y in np.linspace(-520, 520, 15)]
    scene.add(tube(lip, 46), BODY)
    for side in (-1, 1):
        tyre = [(200, -90), (290, -97), (314, -80), (318, 0), (314, 80), (290, 97), (200, 90)]
        scene.add(put(revolved(tyre, 72), (-170, side * 590, 200), LEFT), DEEP)
    scene.add(block(200, 900, 60, 20).moved(-470, 0, 20), NEAR)
    places = [(float(x), float(y), 0.0) for x, y in SCREWS]
    for at in places:
        scene.add(put(rod(24, 2), at, DOWN), Look(160))
    fasten_dark(scene, "undertray-screws", places, DOWN, torx_screw(30), 10)
    return scene


def _motor(scene: Scene) -> None:
    """The starter lying along the block, its solenoid above, two bolts through the bell."""
    motor = [(0, 0), (44, 0), (44, 150), (38, 160), (20, 166), (0, 166)]
    scene.add(put(revolved(motor), (0, 20, 0), RIGHT), CAST)
    nose = [(-88, -50), (-20, -80), (40, -50), (72, 30), (40, 84), (-30, 84), (-72, 20)]
    scene.add(put(prism(smooth(np.array(nose), 6, closed=True), 30), (0, 50, 0), RIGHT), ALLOY)
    scene.add(put(joined([rod(26, 96), rod(21, 104)]), (0, 20, 62), RIGHT), STEEL)
    for x, z in ((-70, -52), (58, 50)):
        scene.add(put(rod(17, 40), (x, 60, z), RIGHT), ALLOY)
    fasten(scene, "starter-bolts", [(-70, 20, -52), (58, 20, 50)], RIGHT, hex_bolt(22), top_of(22))


def starter() -> Scene:
    """The starter from the front and below, undertray off and air filter housing out."""
    scene = Scene(Camera(-38, -14, 3.3, (0, -10, 30), (1500, 1150)))
    scene.add(put(prism(bell(1.0), 40), (-150, 60, 40), LEFT), NEAR)
    scene.add(block(250, 430, 300, 20).moved(-190, -250, -90), NEAR)
    scene.add(block(300, 420, 60, 20).moved(-180, -250, -150), DEEP)
    _motor(scene)
    scene.add(put(block(30, 36, 20, 4), (0, -84, 62), RIGHT), BLACK)
    stud = (8.0, -104.0, 72.0)
    eye = joined(
        [revolved([(6, 0), (15, 0), (15, 4), (6, 4)]), block(16, 40, 4, 3).moved(0, 30, 0)]
    )
    scene.add(put(eye, stud, RIGHT), CAST)
    fasten(scene, "starter-nut", [(8, -108, 72)], RIGHT, nut(18, 14), 26)
    cable = [(8, -108, 96), (6, -112, 126), (-30, -120, 190), (-140, -130, 260)]
    scene.add(wire(cable, 9), BLACK, "starter-cable", (4, -123, 146))
    scene.add(
        put(plug(22, 16, 36), (20, -94, 48), (1, -0.5, -0.5)), PLUG, "starter-plug", (36, -106, 34)
    )
    lead = [(50, -110, 32), (80, -124, 14), (90, -140, -40), (30, -150, -110), (-120, -110, -150)]
    scene.add(wire(lead, 5), BLACK)
    return scene


def oil_cooler() -> Scene:
    """The oil cooler of the automatic before the radiator, its two lines the same."""
    scene = Scene(Camera(-16, 14, 1.9, (60, 60, 440), (1600, 1050)))
    coolers.front_of_finch(scene)
    scene.add(coolers.finned(300, 150, 34, 9).moved(110, 60, 420), ALLOY)
    for side in (1, -1):
        tank = block(40, 34, 164, 8).moved(93, 60 + side * 166, 338)
        scene.add(tank, CAST)
        scene.add(put(block(30, 40, 8, 6), (110, 60 + side * 196, 470), FRONT), STEEL)
    at = [(118.0, 60 + side * 200.0, 470.0) for side in (1, -1)]
    fasten(scene, "oil-cooler-bolts", at, FRONT, hex_bolt(20), top_of(20))
    for k, z in enumerate((370, 450)):
        y = 243.0
        scene.add(put(tube_nut(24), (93, y, z), LEFT), BOLT)
        run = [(93, y + 30, z), (93, y + 70, z), (80, y + 110, z - 10), (20, y + 130, z - 16)]
        run += [(-120, y + 120 - 20 * k, z), (-300, y + 60, z + 20)]
        scene.add(tube(run, 11, segments=20), STEEL, "oil-cooler-lines", (104, y + 66, z))
    return scene
