"""Under the Drover's bed: what hangs on the bed, the lifted pump module, the leads of the axle."""

from __future__ import annotations

import numpy as np

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.drover_axle import REAR, _housing, _outline
from tests.drawn_views.drover_bed import _frame
from tests.drawn_views.hardware import (
    ALLOY,
    BLACK,
    BODY,
    DEEP,
    HOSE,
    NEAR,
    PLASTIC,
    PLUG,
    STEEL,
    bellows,
    fasten,
    hex_bolt,
    plug,
    put,
    top_of,
    wire,
)
from tests.drawn_views.solids import block, hollow, prism, revolved, rod, tube

DOWN, LEFT = (0, 0, -1), (0, 1, 0)


def _bed(scene: Scene) -> None:
    """The bed from below with its ribs, the frame under it, both tail lamps."""
    scene.add(block(1500, 1500, 14).moved(300, 0, 0), BODY)
    for x in (-300, 0, 300, 600):
        scene.add(block(70, 1440, 50, 10).moved(x, 0, -50), BODY)
    for side in (-1, 1):
        scene.add(block(1500, 60, 420, 10).moved(300, side * 740, -60), BODY)
        scene.add(block(1700, 90, 150, 8).moved(260, side * 420, -210), NEAR)
        scene.add(block(50, 130, 330, 20).moved(-440, side * 690, -20), NEAR)
    scene.add(block(90, 830, 90, 8).moved(-470, 0, -200), NEAR)


def _lamp(scene: Scene, side: int) -> None:
    """The plug of a tail lamp behind its housing, the lead along the rail."""
    y = side * 660.0
    scene.add(block(60, 70, 60, 8).moved(-400, y, -70), PLASTIC)
    scene.add(put(plug(56, 44, 84), (-400, y, -70), DOWN), PLUG, "tail-lamp-plugs", (-428, y, -110))
    lead = [(-400, y, -164), (-390, y - side * 20, -200), (-300, side * 560, -230)]
    scene.add(wire([*lead, (-100, side * 480, -240), (200, side * 470, -240)], 9), BLACK)


def bed_rear() -> Scene:
    """The rear of the bed on the frame: two lamp plugs, trailer plug, earth, breather, filler."""
    scene = Scene(Camera(186, -30, 1.0, (-60, 0, -70), (1600, 950)))
    _bed(scene)
    for side in (-1, 1):
        _lamp(scene, side)
    scene.add(block(150, 190, 60, 8).moved(150, -150, -80), PLASTIC)
    one = put(plug(60, 40, 84), (75, -150, -56), (-1, 0, -0.4))
    scene.add(one, PLUG, "trailer-plug", (40, -150, -86))
    scene.add(wire([(-8, -150, -92), (-30, -190, -100), (90, -330, -200)], 9), BLACK)
    earth = (200.0, 230.0, -4.0)
    scene.add(put(hollow(30, 10, 4), earth, DOWN), ALLOY)
    fasten(scene, "bed-earth-bolt", [(200, 230, -9)], DOWN, hex_bolt(34), top_of(34))
    scene.add(tube([(200, 256, -8), (196, 310, -60), (200, 376, -130)], 10), Look(140))
    hose = [(340, 60, -60), (320, 60, -110), (350, 60, -180), (500, 30, -240)]
    scene.add(wire(hose, 13), HOSE, "breather-hose", (318, 60, -124))
    scene.add(block(60, 60, 20, 6).moved(340, 60, -70), PLASTIC)
    _filler(scene)
    return scene


def _filler(scene: Scene) -> None:
    """The filler pipe at the left side of the bed: its flange with three screws."""
    at, axis = np.array([60.0, 640.0, -60.0]), np.array([-0.5, -0.5, -0.9])
    scene.add(put(revolved([(0, 0), (78, 0), (78, 10), (0, 10)]), at, axis), STEEL)
    pipe = [at + axis * 6, at + axis * 70, at + np.array([-30, -90, -150.0]), (100, 500, -290)]
    scene.add(bellows(pipe, 38, 24), HOSE, "filler-pipe", at + axis * 66 + np.array([-40, 0, 0]))


def module_lifted() -> Scene:
    """The module held up over its opening: level plug and crossover hose still on it."""
    scene = Scene(Camera(196, 30, 3.5, (0, 0, 40), (1500, 1200)))
    _frame(scene)
    scene.add(revolved([(66, 0), (98, 0), (98, 6), (66, 6)], 96).moved(z=-10), STEEL)
    scene.add(revolved([(0, 0), (66, 0)], 72).moved(z=-7), Look(90))
    lift = 96.0
    flange = [(0, 0), (82, 0), (82, 6), (80, 8), (52, 8), (48, 22), (0, 22)]
    scene.add(revolved(flange, 96).moved(z=lift), PLASTIC)
    scene.add(revolved([(0, 0), (46, 0), (46, -100), (0, -100)], 72).moved(z=lift), ALLOY)
    for y in (17, -17):
        scene.add(rod(6, 26).moved(-22, y, lift + 20), STEEL)
    for y in (36, -36):
        scene.add(block(20, 26, 18, 3).moved(8, y, lift + 20), PLASTIC)
    scene.add(block(26, 14, 16, 3).moved(-46, 22, lift - 44), PLASTIC)
    at = (-58, 22, lift - 36)
    scene.add(put(plug(24, 18, 34), at, REAR), PLUG, "level-plug", (-72, 22, lift - 27))
    scene.add(wire([(-90, 22, lift - 36), (-100, 30, 30), (-70, 40, 0), (-40, 40, -30)], 4), BLACK)
    scene.add(put(rod(12, 20), (-36, -26, lift - 50), REAR), PLASTIC)
    hose = [(-50, -26, lift - 50), (-84, -30, 36), (-86, -40, 8), (-50, -40, -30)]
    scene.add(wire(hose, 11), HOSE, "crossover-hose", (-90, -30, 40))
    return scene


def axle_leads() -> Scene:
    """The axle with both handbrake cables and the plug of its lock."""
    scene = Scene(Camera(190, -16, 1.62, (60, 0, -10), (1600, 820)))
    _housing(scene)
    scene.add(put(prism(_outline(1.11), 8).turned("z", -90), (0, 0, 0), REAR), ALLOY)
    for k, size in enumerate((0.86, 0.74, 0.56)):
        scene.add(put(prism(_outline(size), 14).turned("z", -90), (-6 - 13 * k, 0, 0), REAR), ALLOY)
    for side in (-1, 1):
        drum = [(0, 0), (140, 0), (146, 8), (146, 70), (0, 70)]
        scene.add(put(revolved(drum, 72), (110, side * 560, 0), (0, side, 0)), DEEP)
        run = [(70, side * 556, -70), (40, side * 480, -110), (40, side * 330, -96)]
        run += [(90, side * 190, -140), (260, side * 120, -110), (420, side * 110, -60)]
        scene.add(wire(run, 9), BLACK, "handbrake-cables", (31.5, side * 330 - 1.5, -98.5))
        scene.add(put(rod(16, 30), (70, side * 556, -70), (-0.3, -side, -0.3)), STEEL)
    scene.add(put(rod(20, 20), (-44, 46, 40), REAR), PLASTIC)
    scene.add(put(plug(34, 28, 50), (-62, 46, 40), REAR), PLUG, "lock-plug", (-86, 46, 26))
    scene.add(wire([(-112, 46, 40), (-134, 60, 50), (-90, 130, 130), (60, 170, 170)], 6), BLACK)
    return scene
