"""The left front corner of the Finch with its wheel off, seen from behind and inside the car."""

from __future__ import annotations

import numpy as np

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.hardware import (
    ALLOY,
    BLACK,
    BODY,
    BOLT,
    CAST,
    HOSE,
    NEAR,
    PLUG,
    RUBBER,
    STEEL,
    fasten,
    hex_bolt,
    nut,
    plug,
    polygon,
    put,
    spring,
    top_of,
    twelve_point,
    wire,
)
from tests.drawn_views.solids import block, hollow, joined, prism, revolved, rod, smooth, tube, unit
from tests.drawn_views.wheels import arch, panel

IN, REAR, UP, OUT = (0, -1, 0), (-1, 0, 0), (0, 0, 1), (0, 1, 0)
TOP, FOOT = np.array([-24.0, -118, 560]), np.array([0.0, -72, 110])


def _camera() -> Camera:
    return Camera(228, 9, 2.0, (-40, -100, 140), (1500, 1400))


def _disc(scene: Scene, *, apart: bool) -> None:
    """The disc on its hub; the kit's is slotted, on a bell of its own."""
    ring = [(82, -12), (150, -12), (150, -5), (146, -5), (146, 5), (150, 5), (150, 12), (82, 12)]
    scene.add(put(revolved(ring, 96), (0, 34, 0), OUT), STEEL)
    scene.add(put(revolved([(40, -4), (84, -4), (84, 30), (40, 34)], 72), (0, 34, 0), OUT), CAST)
    if apart:
        for k in range(12):
            slot = prism([(92, -2), (140, 14), (140, 18), (92, 2)], 0.6).turned("z", k * 30)
            scene.add(put(slot, (0, 22, 0), IN), Look(120))


def _knuckle(scene: Scene) -> None:
    """The knuckle: hub carrier, ear for the strut, arms to ball joint and track rod, lugs for the
    brake.
    """
    scene.add(
        put(revolved([(0, 0), (34, 0), (46, 6), (58, 40), (58, 62), (0, 62)]), (0, -40, 0), OUT),
        CAST,
    )
    scene.add(
        put(
            revolved([(0, 0), (26, 0), (30, -8), (20, -14), (14, -60), (14, -300), (0, -300)]),
            (0, -40, 0),
            OUT,
        ),
        STEEL,
    )
    scene.add(tube([(0, -14, 30), (-4, -40, 96), (0, -60, 150), (0, -64, 206)], 22), CAST)
    scene.add(tube([(0, -10, -30), (0, -22, -90), (0, -34, -138)], 22), CAST)
    scene.add(tube([(-20, -16, -16), (-90, -26, -34), (-150, -44, -84)], 15), CAST)
    for z in (72, -42):
        scene.add(tube([(-10, -12, z * 0.5), (-50, -8, z), (-84, -2, z)], 17), CAST)


def _strut(scene: Scene, bolts: str) -> None:
    """Damper with spring and top mount, clamped to the knuckle by two bolts from behind."""
    axis = unit(TOP - FOOT)
    scene.add(put(rod(27, 250), FOOT, axis), STEEL)
    scene.add(put(rod(11, 460), FOOT, axis), STEEL)
    scene.add(
        put(revolved([(27, 0), (74, 18), (80, 30), (72, 26), (27, 14)]), FOOT + axis * 200, axis),
        STEEL,
    )
    scene.add(put(spring(62, 5.2, 210, 6.5), FOOT + axis * 226, axis), ALLOY)
    scene.add(
        put(
            revolved([(0, 0), (72, 0), (78, 10), (70, 22), (40, 34), (0, 36)]),
            FOOT + axis * 430,
            axis,
        ),
        RUBBER,
    )
    scene.add(block(52, 74, 120, 8).moved(0, -70, 104), STEEL)
    at = [(-26.0, -62.0, z) for z in (134, 192)]
    fasten(scene, bolts, at, REAR, hex_bolt(22), top_of(22))


def _body(scene: Scene) -> None:
    """The inner wing with the strut tower, and the bracket where pipe and hose meet."""
    tower = [(120, -90), (112, 0), (90, 16), (0, 18)]
    scene.add(put(revolved(tower), (-30, -124, 610), (0.05, 0.08, 1)), BODY)
    hood = arch(352, 0)
    outline = [(-352, -140), *hood, (352, -140), (560, -140), (600, 500), (-560, 560), (-560, -140)]
    panel(scene, outline, 1, 150)
    scene.add(block(46, 70, 8, 4).moved(-190, -262, 420), NEAR)


def _hose(scene: Scene, name: str, start: tuple[float, float, float], look: Look) -> None:
    """The brake hose from the caliper over its bracket on the strut to the pipe at the body."""
    x, y, z = start
    run = [
        start,
        (x - 6, y - 40, z + 6),
        (x + 20, y - 66, z + 70),
        (-46, -122, 250),
        (-80, -170, 390),
    ]
    run += [(-150, -230, 462), (-190, -250, 446), (-190, -250, 432)]
    scene.add(tube(run, 8), look, name, (-122, -212, 452))
    scene.add(block(90, 8, 30, 4).moved(-20, -104, 236), STEEL)
    fasten(scene, "hose-bracket-bolts", [(6, -109, 252)], IN, hex_bolt(13), top_of(13))
    scene.add(
        put(joined([prism(polygon(6, 17), 14), rod(5, 40)]), (-190, -250, 420), (0, 0, -1)), BOLT
    )
    scene.add(
        put(prism(polygon(6, 13), 16), (-190, -250, 402), (0, 0, -1)),
        BOLT,
        "brake-unions",
        (-196, -256, 394),
    )
    scene.add(
        wire([(-190, -250, 386), (-190, -252, 360), (-150, -270, 326), (60, -290, 310)], 4), STEEL
    )


def _arm(scene: Scene) -> None:
    """Control arm and its bush, ball joint with three bolts and castle nut, track rod, link."""
    flat = smooth(
        [
            (26, -6),
            (30, -60),
            (120, -330),
            (60, -350),
            (0, -170),
            (-130, -350),
            (-180, -320),
            (-36, -80),
            (-30, -6),
        ],
        6,
        closed=True,
    )
    scene.add(prism(flat, 16).moved(z=-186), CAST)
    scene.add(put(revolved([(34, 0), (34, 44), (0, 44), (0, 0)]), (-156, -334, -200), UP), RUBBER)
    fasten(scene, "arm-bush-bolts", [(-156, -334, -156)], UP, hex_bolt(19), top_of(19))
    scene.add(
        put(revolved([(0, 0), (30, 0), (30, 10), (22, 26), (14, 34), (0, 34)]), (0, -34, -170), UP),
        RUBBER,
    )
    at = [(-24, -62, -168), (24, -62, -168), (0, -96, -168)]
    fasten(scene, "ball-arm-nuts", at, UP, nut(17, 8), 20, seen=(0, 2))
    scene.add(put(prism(polygon(6, 20), 18), (0, -34, -116), UP), BOLT)
    rod_end = (-150, -46, -84)
    scene.add(put(joined([rod(17, 30), rod(8, 46)]), (-150, -46, -106), UP), STEEL)
    scene.add(tube([rod_end, (-150, -110, -82), (-140, -360, -74)], 10), STEEL)
    lock = put(prism(polygon(6, 26), 18), (-149, -120, -82), (0, -1, 0.03))
    scene.add(lock, BOLT, "track-rod-nuts", (-157, -130, -73))


def _link(scene: Scene, name: str) -> None:
    """The link of the anti-roll bar, its ball stud through an ear of the strut."""
    scene.add(block(12, 30, 40, 6).moved(24, -112, 250), STEEL)
    scene.add(put(rod(16, 26), (34, -120, 268), (1, 0, 0)), STEEL)
    scene.add(tube([(48, -120, 268), (52, -130, 120), (56, -150, -80)], 7), STEEL)
    fasten(scene, name, [(18, -118, 268)], REAR, nut(18, 8), 22)


def _old_brake(scene: Scene) -> None:
    """The floating caliper on its carrier, with two guide-pin and two carrier bolts."""
    for z in (72, -42):
        scene.add(block(90, 14, 34, 8).moved(-96, -14, z - 17), CAST)
    scene.add(block(40, 74, 150, 12).moved(-146, 22, -60), CAST)
    body = smooth(
        [(-78, -60), (0, -76), (66, -52), (78, 20), (60, 78), (-40, 84), (-80, 40)], 6, closed=True
    )
    scene.add(put(prism(np.array(body) * 0.72, 44).turned("z", 90), (-128, -30, 16), IN), ALLOY)
    scene.add(
        put(revolved([(0, 0), (40, 0), (38, 16), (30, 22), (0, 22)]), (-122, -74, 16), IN), ALLOY
    )
    scene.add(block(64, 100, 60, 10).moved(-146, 20, -14), ALLOY)
    for z in (104, -78):
        scene.add(put(joined([rod(13, 40), rod(17, 8)]), (-140, -34, z), IN), RUBBER)
        scene.add(
            block(34, 12, 44, 8).moved(-136, -80, z - 22 - (z > 0) * 10 + (z < 0) * 10), ALLOY
        )
    fasten(
        scene,
        "caliper-bolts",
        [(-140, -86, 104), (-140, -86, -78)],
        IN,
        hex_bolt(14),
        top_of(14),
        (0,),
    )
    fasten(
        scene,
        "carrier-bolts",
        [(-70, -22, 66), (-70, -22, -40)],
        IN,
        hex_bolt(18),
        top_of(18),
        (0,),
    )


def _wear_lead(scene: Scene, name: str, start: tuple[float, float, float]) -> None:
    """The lead of the pad wear sensor from the caliper to its plug at the inner wing."""
    x, y, z = start
    at = (-236.0, -216.0, 250.0)
    lead = [start, (x - 40, y - 50, z + 50), (-240, -190, 190), (-238, -206, 236)]
    scene.add(wire(lead, 4), BLACK)
    scene.add(put(plug(28, 22, 44), at, (0.1, -0.1, 1)), PLUG, name, (-243, -229, 268))
    scene.add(wire([(-230, -222, 300), (-226, -240, 340), (-150, -280, 350)], 4), BLACK)


def old() -> Scene:
    """The corner as the car arrives: floating caliper, rubber hose."""
    scene = Scene(_camera())
    _body(scene)
    _disc(scene, apart=False)
    _knuckle(scene)
    _strut(scene, "strut-bolts")
    _old_brake(scene)
    _hose(scene, "brake-hoses", (-122, -92, 40), HOSE)
    _wear_lead(scene, "wear-lead", (-168, -20, 40))
    _arm(scene)
    _link(scene, "front-link-nuts")
    return scene


def _new_brake(scene: Scene) -> None:
    """The four-piston caliper on its bracket: bolts from behind, bracket from inside, banjo, pad
    bridge.
    """
    for z in (84, -54):
        scene.add(block(90, 22, 36, 8).moved(-116, -16, z - 18), STEEL)
        scene.add(put(rod(17, 24), (-160, -8, z), REAR), STEEL)
    scene.add(block(26, 20, 140, 6).moved(-150, -12, -56), STEEL)
    for y, deep in ((-22, 46), (56, 46)):
        half = smooth(
            [(-92, -40), (0, -52), (92, -40), (100, 10), (80, 34), (0, 44), (-80, 34), (-100, 10)],
            6,
            closed=True,
        )
        scene.add(put(prism(np.array(half)[:, ::-1], deep), (-138, y, 15), OUT), ALLOY)
    for z in (100, -72):
        scene.add(block(52, 110, 34, 8).moved(-140, 40, z - 17), ALLOY)
    for z in (52, -22):
        scene.add(put(revolved([(0, 0), (26, 0), (24, 5), (0, 5)]), (-138, -22, z), IN), STEEL)
    fasten(
        scene, "caliper-140-bolts", [(-184, -8, 84), (-184, -8, -54)], REAR, twelve_point(15), 13
    )
    fasten(
        scene, "bracket-140-bolts", [(-88, -27, 84), (-88, -27, -54)], IN, hex_bolt(19), top_of(19)
    )
    scene.add(block(14, 90, 24, 4).moved(-186, 40, 3), STEEL)
    cap = joined([rod(7, 9), prism(polygon(6, 7), 0.5).moved(z=9)])
    scene.add(put(cap, (-193, 22, 15), REAR), BOLT, "bridge-140-bolts", (-202, 22, 15))


def new() -> Scene:
    """The corner with the kit's brake on it."""
    scene = Scene(_camera())
    _body(scene)
    _disc(scene, apart=True)
    _knuckle(scene)
    _strut(scene, "")
    _new_brake(scene)
    scene.add(put(joined([hollow(13, 5, 9), rod(4, 1)]), (-112, -24, 15), IN), STEEL)
    fasten(scene, "banjo-140-bolts", [(-112, -33, 15)], IN, hex_bolt(15), top_of(15))
    _hose(scene, "hoses-140", (-118, -28, 26), Look(190))
    _wear_lead(scene, "wear-lead-140", (-150, 30, 100))
    _arm(scene)
    _link(scene, "")
    return scene
