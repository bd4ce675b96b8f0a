"""The front of the Finch with its bumper cover off: the old cooler and the new one."""

from __future__ import annotations

import numpy as np

from tests.drawn_views import coolers
from tests.drawn_views.drawing import Camera, Scene
from tests.drawn_views.hardware import (
    BLACK,
    BOLT,
    CAST,
    HOSE,
    PLUG,
    STEEL,
    clamp,
    fasten,
    fasten_dark,
    hex_bolt,
    hose,
    plug,
    put,
    top_of,
    torx_screw,
    wire,
)
from tests.drawn_views.solids import Numbers, block, prism, rod, rounded

# Hot is the right of the car: at the left of a picture that is taken from the front.
FRONT = (1, 0, 0)


def _corners(across: float, up: float, x: float, z: float) -> list[Numbers]:
    """Hot lower, cold lower, hot upper, cold upper."""
    return [np.array([x, y, z + dz]) for dz in (-up / 2, up / 2) for y in (-across / 2, across / 2)]


def _charge_hose(
    scene: Scene, name: str, clamps: str, at: tuple[float, float, float], thick: float
) -> None:
    """A charge hose from the bottom of a tank round to the engine, with the clamp at the cooler."""
    x, y, z = at
    side = 1 if y > 0 else -1
    path = [
        (x, y, z - 22),
        (x, y, z - 62),
        (x - 30, y + side * 14, z - 104),
        (x - 120, y + side * 16, z - 116),
    ]
    path += [(x - 230, y + side * 4, z - 96), (x - 330, y - side * 60, z - 60)]
    scene.add(put(coolers.port(thick * 0.88, 42), (x, y, z), (0, 0, -1)), CAST)
    scene.add(hose(path, thick), HOSE, name, (x - 8 + thick * 0.8, y + side * 6, z - 96))
    band = put(clamp(thick + 1, 90), (0, 0, 0), (0, 0, -1)).turned("z", -60 if side > 0 else 40)
    scene.add(band.moved(x, y, z - 38), BOLT, clamps, (x + thick + 2, y, z - 38))


def _sensor(scene: Scene, at: tuple[float, float, float]) -> None:
    """The boost-pressure sensor before the cold-side tank, its two screws and its plug."""
    x, y, z = at
    scene.add(put(block(66, 32, 9, 12), (x, y, z), FRONT), PLUG)
    scene.add(put(rod(13, 16), (x + 8, y, z), FRONT), PLUG)
    scene.add(plug(24, 18, 40).moved(x + 20, y, z + 8), BLACK, "sensor-plug", (x + 29, y, z + 20))
    lead = [
        (x + 20, y, z + 46),
        (x + 14, y - 6, z + 70),
        (x - 40, y - 30, z + 96),
        (x - 140, y - 60, z + 96),
    ]
    scene.add(wire(lead), BLACK)
    places = [(x + 9, y + s * 25, z) for s in (-1, 1)]
    fasten_dark(scene, "sensor-screws", places, FRONT, torx_screw(11), 4)


def old_cooler() -> Scene:
    """The cooler that the car came with, on its four lugs."""
    scene = Scene(Camera(-14, 12, 1.5, (60, 0, 500)))
    coolers.front_of_finch(scene)
    coolers.cooler(scene, 450, 172, np.array([70.0, 0, 400]))
    places = _corners(420, 180, 118, 400)
    for at in places:
        coolers.lug(scene, at, 60)
    fasten(scene, "cooler-bolts", places, FRONT, hex_bolt(16), top_of(16))
    _charge_hose(scene, "hot-hose", "hot-clamps", (70, -265, 316), 33)
    _charge_hose(scene, "cold-hose", "cold-clamps", (70, 265, 316), 33)
    _sensor(scene, (110, 262, 420))
    return scene


def new_cooler() -> Scene:
    """The larger cooler on its two brackets under the crossmember."""
    scene = Scene(Camera(-12, -9, 1.5, (60, 0, 460)))
    coolers.front_of_finch(scene)
    coolers.cooler(scene, 560, 240, np.array([90.0, 0, 400]), 76)
    places = _corners(560, 210, 142, 400)
    for side in (-1, 1):
        scene.add(block(10, 48, 300, 4).moved(136, side * 280, 268), STEEL)
        scene.add(block(46, 48, 10, 2).moved(154, side * 280, 560), STEEL)
        ear = rounded(120, 100, 10) - np.array([side * 22, 0])
        scene.add(put(prism(ear, 10).turned("z", 90), (168, side * 280, 610), FRONT), STEEL)
        bolts = [(178, side * 280 + dy, 622) for dy in (-side * 58, side * 12)]
        fasten(scene, "bracket-220-bolts", bolts, FRONT, hex_bolt(21), top_of(21))
    fasten(scene, "cooler-220-bolts", places, FRONT, hex_bolt(18), top_of(18))
    _charge_hose(scene, "hot-hose-220", "hot-220-clamps", (90, -322, 278), 38)
    _charge_hose(scene, "cold-hose-220", "cold-220-clamps", (90, 322, 278), 38)
    _sensor(scene, (132, 326, 420))
    return scene
