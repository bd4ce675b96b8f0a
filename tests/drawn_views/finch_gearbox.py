"""The manual gearbox of the Finch, in the car: from above at the left, and from below."""

from __future__ import annotations

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.finch_clutch import bell, bell_places
from tests.drawn_views.hardware import (
    ALLOY,
    BLACK,
    BOLT,
    CAST,
    NEAR,
    PLASTIC,
    PLUG,
    RUBBER,
    STEEL,
    fasten,
    hex_bolt,
    nut,
    out,
    plug,
    polygon,
    put,
    top_of,
    twelve_point,
    wire,
)
from tests.drawn_views.solids import block, hollow, joined, lofted, prism, revolved, rod, tube

LEFT, UP, DOWN = (0, 1, 0), (0, 0, 1), (0, 0, -1)


def _case(scene: Scene) -> None:
    """Bell housing at y = 0, case narrowing to the left, end cover, final drive behind."""
    scene.add(put(prism(bell(1.06), 60), (0, -90, 0), LEFT), NEAR)
    scene.add(block(300, 420, 330, 30).moved(90, -310, -160), NEAR)
    scene.add(put(prism(bell(1.0), 16), (0, 0, 0), LEFT), ALLOY)
    sections = []
    for y, size, drop in (
        (16, 0.88, 0),
        (50, 0.8, 0),
        (110, 0.66, 8),
        (150, 0.6, 10),
        (290, 0.56, 12),
    ):
        ring = bell(size)
        sections.append([(-a, float(y), b - drop) for a, b in [*ring, ring[0]]])
    scene.add(lofted(sections, lids=True), ALLOY)
    scene.add(put(prism(bell(0.6), 14), (0, 290, -12), LEFT), CAST)
    scene.add(put(prism(bell(0.52), 40), (0, 304, -12), LEFT), ALLOY)
    for k, (x, z) in enumerate(bell_places()):
        scene.add(put(hex_bolt(12), (-x * 0.52, 304, z * 0.52 - 12), LEFT), NEAR)
        rib = block(9, 120, 26, 3).moved(0, 80, 0)
        if k in (4, 5):
            scene.add(rib.moved(-x * 0.82, 0, z * 0.82), ALLOY)
    final = [(40, -70), (96, -60), (104, 0), (96, 70), (60, 82), (40, 90), (0, 90)]
    scene.add(put(revolved(final), (-150, 90, -110), LEFT), ALLOY)


def _flange(scene: Scene, name: str, side: int, y: float, seen: tuple[int, ...]) -> None:
    """A drive flange with the joint of its shaft, held by six bolts."""
    face = (0, side, 0)
    scene.add(put(revolved([(0, 0), (52, 0), (52, 12), (0, 12)]), (-150, y, -110), face), STEEL)
    joint = [(0, 12), (52, 12), (52, 46), (44, 54), (40, 60), (0, 60)]
    scene.add(put(revolved(joint), (-150, y, -110), face), CAST, name)
    scene.mark(name, (-122, y + side * 30, -154))
    boot = [
        (40, 60),
        (42, 66),
        (34, 76),
        (39, 84),
        (29, 94),
        (33, 102),
        (22, 114),
        (24, 120),
        (15, 130),
        (0, 130),
    ]
    scene.add(put(revolved(boot), (-150, y, -110), face), RUBBER)
    scene.add(put(rod(13, 500), (-150, y + side * 130, -110), face), STEEL)
    places = []
    for k in range(6):
        x, z = polygon(6, 82)[k]
        places.append((-150 + x * 0.93, y + side * 46, -110 + z * 0.93))
    fasten(scene, f"{name}-bolts", places, face, twelve_point(13), 12, seen)


def _cables(scene: Scene) -> None:
    """Shift and select cable: the same grey socket on two ball heads, their sleeves in one
    bracket.
    """
    scene.add(rod(30, 34).moved(-10, 190, 92), ALLOY)
    scene.add(rod(11, 30).moved(-10, 190, 126), STEEL)
    scene.add(block(26, 90, 8, 10).moved(-10, 158, 150), STEEL)
    scene.add(block(80, 24, 8, 10).moved(26, 196, 138), STEEL)
    scene.add(block(12, 150, 64, 4).moved(-176, 170, 110), STEEL)
    for name, start, y in (
        ("shift-cable", (-10, 122, 158), 122),
        ("select-cable", (58, 200, 146), 214),
    ):
        x, at, z = start
        scene.add(joined([rod(14, 20), rod(9, 26)]).moved(x, at, z), PLUG, name, (x, at, z + 26))
        run = [(x, at, z + 10), (x - 60, at, z + 8), (-176, y, 152)]
        scene.add(tube(run, 5), STEEL)
        scene.add(put(joined([rod(13, 30), rod(10, 44)]), (-166, y, 152), (-1, 0, 0)), PLASTIC)
        scene.add(
            wire([(-200, y, 152), (-280, y, 160), (-400, y - 30, 210), (-520, y - 60, 260)], 8),
            BLACK,
        )


def _plugs(scene: Scene) -> None:
    """Reversing-lamp plug towards the bulkhead, neutral plug on the selector housing, earth on the
    end cover.
    """
    scene.add(put(prism(polygon(6, 22), 12), (-92, 100, 94), (-0.4, 0, 1)), STEEL)
    scene.add(
        put(plug(22, 16, 34), (-97, 100, 106), (-0.4, 0, 1)), PLUG, "reverse-plug", (-100, 109, 122)
    )
    scene.add(wire([(-112, 100, 142), (-130, 90, 170), (-260, 40, 200)], 4), BLACK)
    scene.add(block(40, 30, 16, 6).moved(58, 150, 92), ALLOY)
    scene.add(
        put(plug(22, 16, 34), (66, 150, 108), (0.3, 0, 1)), PLUG, "neutral-plug", (74, 158, 124)
    )
    scene.add(wire([(78, 150, 144), (90, 120, 180), (40, 40, 210), (-120, -40, 220)], 4), BLACK)
    bolt = (60.0, 346.0, -20.0)
    scene.add(
        put(joined([hollow(13, 5, 3), block(14, 40, 3, 3).moved(0, 22, 0)]), bolt, LEFT), ALLOY
    )
    scene.add(
        put(hex_bolt(13), (60, 349, -20), LEFT),
        BOLT,
        "gearbox-earth-bolt",
        (60, 349 + top_of(13), -20),
    )
    strap = [(60, 348, 8), (66, 352, 30), (110, 380, 60), (170, 440, 70)]
    scene.add(tube(strap, 7), Look(140))


def _slave(scene: Scene) -> None:
    """The clutch slave cylinder on the bell housing, its pipe from the bulkhead."""
    scene.add(put(joined([rod(26, 30), rod(20, 96)]), (112, 62, 92), (0, 1, 0.1)), CAST)
    scene.add(block(80, 30, 10, 8).moved(112, 78, 108), CAST)
    fasten(scene, "slave-bolts", [(80, 78, 118), (144, 78, 118)], UP, hex_bolt(14), top_of(14))
    scene.add(wire([(112, 156, 104), (112, 190, 130), (60, 250, 170), (-200, 260, 260)], 5), STEEL)


def above() -> Scene:
    """The gearbox seen from above at its left, battery and air filter housing out."""
    scene = Scene(Camera(52, 42, 2.0, (-10, 130, 50), (1600, 1250)))
    _case(scene)
    _cables(scene)
    _plugs(scene)
    _slave(scene)
    places = [(-x, 16.0, z) for x, z in bell_places()[:3]]
    fasten(scene, "bell-upper-bolts", places, LEFT, hex_bolt(19), top_of(19))
    _mount(scene)
    scene.add(block(1000, 60, 60, 10).moved(0, 480, 0), NEAR)
    return scene


def _mount(scene: Scene) -> None:
    """The mount between the end of the gearbox and the rail."""
    scene.add(block(150, 110, 24, 16).moved(-40, 400, 60), CAST)
    scene.add(
        put(revolved([(0, 0), (46, 0), (46, 50), (36, 60), (0, 60)]), (-40, 440, 60), UP), RUBBER
    )
    at = [(-96, 372, 84), (-40, 364, 84), (16, 372, 84)]
    fasten(scene, "mount-bolts", at, UP, hex_bolt(17), top_of(17))


def below() -> Scene:
    """The gearbox from below: both drive flanges, drain and fill plug, torque rod."""
    scene = Scene(Camera(74, -44, 1.75, (-60, 90, -110), (1600, 1250)))
    _case(scene)
    _flange(scene, "left-shaft", 1, 176, (0, 3, 4, 5))
    _flange(scene, "right-shaft", -1, -100, ())
    places = [(-x, 16.0, z) for x, z in bell_places()[3:]]
    fasten(scene, "bell-lower-bolts", places, LEFT, hex_bolt(17), top_of(17), (0, 1))
    for name, at, axis in (
        ("gearbox-drain-plug", (-136, 130, -210), DOWN),
        ("gearbox-fill-plug", (96, 232, -50), (1, 0, -0.2)),
    ):
        scene.add(put(rod(26, 10), at, axis), ALLOY)
        scene.add(put(revolved([(0, 10), (18, 10), (18, 18), (0, 18)]), at, axis), BOLT, name)
        hole = out(at, axis, 18.2)
        scene.add(put(prism(polygon(6, 12), 0.4), hole, axis), Look(70), name, hole)
    _torque_rod(scene)
    return scene


def _torque_rod(scene: Scene) -> None:
    """The rod from the gearbox back to the subframe, and the subframe's front edge."""
    scene.add(block(140, 900, 70, 20).moved(-400, 60, -190), NEAR)
    rod_ = [(-40, -14), (-250, -22), (-260, 22), (-40, 14)]
    scene.add(prism(rod_, 22).moved(-20, 20, -196), CAST, "torque-rod", (-160, 20, -196))
    for x, size in ((-60, 26), (-280, 40)):
        scene.add(put(hollow(size, size * 0.5, 44), (x, 20, -208), UP), CAST)
        scene.add(put(rod(size * 0.5, 40), (x, 20, -206), UP), RUBBER)
    scene.add(put(nut(18, 8), (-60, 20, -208), DOWN), BOLT, "torque-rod-nut", (-60, 20, -229))
    scene.add(put(hex_bolt(18), (-280, 20, -208), DOWN), NEAR)
