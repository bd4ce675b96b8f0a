"""The front of the Finch with its bumper cover off: the old cooler, the new one, the cover itself."""

from __future__ import annotations

import numpy as np

from tests.drawn_views import coolers
from tests.drawn_views.drawing import Camera, Scene
from tests.drawn_views.hardware import (
    ALLOY,
    BLACK,
    BOLT,
    CAST,
    HOSE,
    PLUG,
    STEEL,
    clamp,
    clamp_screw,
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
from tests.drawn_views.solids import Numbers, block, joined, prism, rod, rounded

# Hot is the right of the car: at the left of a picture that is taken from the front.
FRONT = (1, 0, 0)


def _corners(across: float, up: float, x: float, z: float) -> list[Numbers]:
    """Hot lower, cold lower, hot upper, cold upper."""
    return [
        np.array([x, y, z + dz])
        for dz in (-up / 2, up / 2)
        for y in (-across / 2, across / 2)
    ]


def _charge_hose(scene: Scene, name: str, clamps: str, side: int, z: float, reach: float) -> None:
    """A charge hose from the bottom of a tank round to the engine, with the clamps at both ends."""
    y = side * reach
    path = [(70, y, z - 30), (70, y, z - 75), (30, y + side * 24, z - 112), (-70, y + side * 40, z - 118)]
    path += [(-190, y + side * 34, z - 96), (-300, y - side * 30, z - 60)]
    scene.add(put(coolers.port(30, 42), (70, y, z), (0, 0, -1)), CAST)
    scene.add(hose(path, 34), HOSE, name, (62 + 22, y + side * 8, z - 96))
    turn = 10 if side > 0 else -60
    scene.add(put(clamp(36, turn), (70, y, z - 46), (0, 0, -1)), BOLT)


def _sensor(scene: Scene, at: Numbers) -> None:
    """The boost-pressure sensor on the cold-side tank, its two screws and its plug."""
    x, y, z = at
    scene.add(block(30, 62, 10, 10).moved(x, y, z), PLUG)
    scene.add(rod(15, 22).moved(x, y, z + 8), PLUG)
    scene.add(plug(24, 18, 42).moved(x, y, z + 26), BLACK, "sensor-plug", (x + 9, y, z + 40))
    lead = [(x, y, z + 62), (x - 4, y - 8, z + 84), (x - 60, y - 40, z + 100), (x - 140, y - 60, z + 96)]
    scene.add(wire(lead), BLACK)
    places = [(x, y + s * 24, z + 10) for s in (-1, 1)]
    fasten_dark(scene, "sensor-screws", places, (0, 0, 1), torx_screw(11), 4)


def old_cooler() -> Scene:
    """The cooler that the car came with, on its four lugs."""
    scene = Scene(Camera(-14, 12, 1.66, (60, 0, 520)))
    coolers.front_of_finch(scene)
    middle = np.array([70.0, 0, 440])
    coolers.cooler(scene, 470, 172, middle)
    places = _corners(420, 180, 118, 440)
    for at in places:
        coolers.lug(scene, at, 60)
    fasten(scene, "cooler-bolts", places, FRONT, hex_bolt(16), top_of(16))
    _charge_hose(scene, "hot-hose", "hot-clamps", -1, 360, 275)
    _charge_hose(scene, "cold-hose", "cold-clamps", 1, 360, 275)
    _sensor(scene, np.array([70, 272, 526]))
    return scene
