"""The bumper cover of the Finch from below and behind: what is plugged into it."""

from __future__ import annotations

import numpy as np

from tests.drawn_views.drawing import Camera, Scene
from tests.drawn_views.hardware import (
    BLACK,
    CAST,
    HOSE,
    NEAR,
    PLASTIC,
    PLUG,
    plug,
    put,
    wire,
)
from tests.drawn_views.solids import (
    Solid,
    block,
    joined,
    lofted,
    revolved,
    rod,
    smooth,
    tube,
)

REAR = (-1, 0, 0)


def _skin() -> Solid:
    """The cover from wing to wing: upper edge, nose, lip."""
    sections = []
    for y in np.linspace(-800, 800, 41):
        bend = (abs(y) / 800) ** 2.6
        x = 120 - 330 * bend
        low = 210 + 40 * bend
        line = smooth(
            [
                (x - 40, 690 - 60 * bend),
                (x + 16, 640 - 40 * bend),
                (x + 40, 500),
                (x + 26, 330),
                (x - 20, low),
                (x - 110, low - 14),
            ],
            5,
        )
        sections.append([(a, float(y), b) for a, b in line])
    return lofted(sections)


def _grille(scene: Scene) -> None:
    for k in range(7):
        scene.add(block(20, 760, 8, 2).moved(112, 0, 290 + k * 26), PLASTIC)
    for y in np.linspace(-380, 380, 9):
        scene.add(block(24, 8, 168, 2).moved(106, float(y), 284), PLASTIC)
    beam = [(60 - 70 * (abs(y) / 560) ** 2, float(y), 560.0) for y in np.linspace(-560, 560, 9)]
    scene.add(tube(beam, 40, segments=4), NEAR)


def _fog_lamp(scene: Scene, side: int) -> None:
    """A fog lamp from behind, with its plug and the lead to the middle."""
    y = side * 560
    scene.add(
        put(revolved([(0, 0), (64, 0), (60, 20), (40, 56), (22, 62), (0, 62)]), (66, y, 330), REAR),
        CAST,
    )
    for turn in (30, 150, 270):
        ear = block(24, 20, 8, 4).moved(68, 0, 2).turned("z", turn)
        scene.add(put(ear, (66, y, 330), REAR), CAST)
    scene.add(put(plug(34, 26, 50), (4, y, 330), REAR), PLUG, "fog-plugs", (-16, y, 314))
    lead = [
        (-48, y, 330),
        (-74, y - side * 10, 340),
        (-70, y - side * 150, 400),
        (-40, side * 120, 420),
        (-60, 0, 440),
    ]
    scene.add(wire(lead, 6), BLACK)


def plugs() -> Scene:
    """The cover from below and behind."""
    scene = Scene(Camera(196, -24, 1.12, (0, 0, 410), (1600, 1000)))
    scene.add(_skin(), NEAR)
    _grille(scene)
    for side in (1, -1):
        _fog_lamp(scene, side)
    scene.add(block(16, 60, 44, 4).moved(98, 40, 250), PLASTIC)
    scene.add(
        put(plug(26, 20, 42), (88, 40, 268), REAR), PLUG, "air-temperature-plug", (74, 40, 256)
    )
    scene.add(wire([(44, 40, 268), (20, 44, 280), (-10, 30, 380), (-40, 10, 430)], 5), BLACK)
    at = (20.0, -300.0, 500.0)
    scene.add(put(joined([rod(15, 44), rod(21, 10).moved(z=26)]), at, REAR), PLASTIC)
    hose = [
        (-22, -300, 500),
        (-60, -300, 500),
        (-100, -330, 520),
        (-150, -420, 620),
        (-220, -470, 760),
    ]
    scene.add(wire(hose, 12), HOSE, "washer-hose", (-104, -332, 508))
    return scene
