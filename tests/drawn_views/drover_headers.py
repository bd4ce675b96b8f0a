"""The Drover's V6 from both sides: headers, what is in front of them, the joints below."""

from __future__ import annotations

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.hardware import (
    ALLOY,
    BLACK,
    BOLT,
    CAST,
    DEEP,
    NEAR,
    STEEL,
    fasten,
    hex_bolt,
    put,
    twelve_point,
    wire,
)
from tests.drawn_views.solids import (
    block,
    hollow,
    joined,
    lofted,
    prism,
    revolved,
    rod,
    rounded,
    smooth,
    tube,
)

# Along the flange from its front, and up: front upper, front lower, middle and rear.
NUTS = [(across, up) for across in (104, 0, -104) for up in (28, -28)]


def _head(scene: Scene, side: int) -> None:
    """The cylinder head with its cover above and the block below, in x and z, its face at y = 0."""
    scene.add(block(420, 120, 130, 10).moved(0, -side * 62, -66), CAST)
    for x in (-196, -104, 0, 104, 196):
        scene.add(block(16, 10, 120, 2).moved(x, -side * 2, -62).moved(y=-side * 4), CAST)
    cover = block(440, 150, 70, 24).moved(0, -side * 90, 68)
    scene.add(cover, NEAR)
    for x in (-180, -60, 60, 180):
        scene.add(put(hex_bolt(11), (x, -side * 30, 84), (0, side, 0)), NEAR)
        scene.add(rod(14, 30).moved(x, -side * 27, 66), NEAR)
    scene.add(block(460, 130, 240, 12).moved(0, -side * 85, -310), NEAR)
    scene.add(block(400, 110, 90, 20).moved(0, -side * 80, -400), DEEP)
    for x in (-130, 0, 130):
        scene.add(
            put(
                revolved([(0, 0), (22, 0), (22, 3), (18, 5), (0, 5)]),
                (x, -side * 20, -190),
                (0, side, 0),
            ),
            NEAR,
        )


def _header(scene: Scene, side: int, name: str) -> None:
    """A tubular header: flange, three runners, collector with the sensor in it."""
    face = (0, side, 0)
    for x in (104, 0, -104):
        pad = rounded(66, 92, 16)
        scene.add(put(prism(pad, 10).turned("z", 90), (x, 0, 0), face).turned("z", 0), STEEL)
    scene.add(block(250, 10, 30, 4).moved(0, side * 5, -15), STEEL)
    for x in (104, 0, -104):
        run = [
            (x, 8, 0),
            (x, 44, -2),
            (x - 20, 76, -14),
            (x - 48, 92, -48),
            (x - 56 - x * 0.05, 92, -110),
        ]
        run += [(x * 0.55 - 100, 84, -190), (-126 + x * 0.24, 74, -262)]
        scene.add(tube([(a, side * b, c) for a, b, c in run], 19, steps=12, segments=28), ALLOY)
        scene.add(put(hollow(24, 18, 4), (x, side * 10, 0), face), ALLOY)
    sections = []
    for z, wide, deep in (
        (-240, 56, 24),
        (-280, 52, 26),
        (-330, 34, 30),
        (-360, 30, 30),
        (-400, 30, 30),
    ):
        ring = smooth([(wide, 0), (0, deep), (-wide, 0), (0, -deep)], 10, closed=True)
        sections.append([(-128 + a, side * 72 + b, z) for a, b in [*ring, ring[0]]])
    scene.add(lofted(sections), ALLOY)
    scene.add(
        put(revolved([(31, 0), (52, 0), (52, 12), (31, 12)]), (-128, side * 72, -412), (0, 0, 1)),
        STEEL,
    )
    places = [(x, side * 10.0, float(z)) for x, z in NUTS]
    for place in places:
        scene.add(put(rod(4, 22), place, face), BOLT, name)
    fasten(scene, name, places, face, twelve_point(11), 22)


def _sensor(scene: Scene, side: int, name: str) -> None:
    """The oxygen sensor in the collector and its lead up to the plug behind the engine."""
    at, axis = (-152, side * 92, -322), (-0.75, side * 0.6, 0.25)
    scene.add(
        put(joined([prism(rounded(22, 22, 6), 12), rod(9, 40), rod(5, 54)]), at, axis),
        STEEL,
        name,
        at,
    )
    end = (-152 - 44, side * 128, -306)
    scene.add(
        wire([end, (-230, side * 120, -270), (-250, side * 60, -120), (-262, side * 10, 20)], 5),
        BLACK,
    )


def left() -> Scene:
    """The left header on its studs, seen from the left."""
    scene = Scene(Camera(80, 12, 2.75, (-34, 40, -118), (1600, 1330)))
    _head(scene, 1)
    _header(scene, 1, "left-header-nuts")
    _sensor(scene, 1, "")
    cable = [(330, -30, 158), (180, -10, 168), (-60, -10, 168), (-330, -60, 160)]
    scene.add(wire(cable, 11), Look(206))
    return scene


def right() -> Scene:
    """The right header on its studs, seen from the right."""
    scene = Scene(Camera(-80, 12, 2.75, (-34, -40, -118), (1600, 1330)))
    _head(scene, -1)
    _header(scene, -1, "right-header-nuts")
    _sensor(scene, -1, "")
    return scene
