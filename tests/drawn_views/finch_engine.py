"""The engine of the Finch from above: cylinder head with its ignition rail, air filter, battery,
reservoirs.
"""

from __future__ import annotations

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.hardware import (
    ALLOY,
    BLACK,
    BODY,
    CAST,
    DEEP,
    HOSE,
    NEAR,
    PLASTIC,
    PLUG,
    STEEL,
    bellows,
    clamp,
    fasten,
    fasten_dark,
    hex_bolt,
    nut,
    plug,
    put,
    top_of,
    torx_screw,
    wire,
)
from tests.drawn_views.solids import block, revolved, rod

UP = (0, 0, 1)
# Outer left to outer right, from the page: mm to the right and to the rear of the rail's left end.
RAIL = [(0, 12), (92, -12), (150, 12), (218, -12), (276, 12), (368, -12)]


def _cam_cover(scene: Scene) -> None:
    """The top of the engine: cover with its rim and bolts, filler cap, front and rear edge."""
    scene.add(block(330, 560, 60, 40).moved(0, 0, -70), NEAR)
    scene.add(block(290, 500, 34, 46).moved(0, 0, -26), CAST)
    scene.add(block(240, 470, 10, 40).moved(0, 0, 8), ALLOY)
    for side in (-1, 1):
        for y in (-205, -70, 70, 205):
            scene.add(hex_bolt(12).moved(side * 132, y, 8), NEAR)
    scene.add(revolved([(0, 0), (34, 0), (34, 12), (30, 18), (0, 18)]).moved(70, 170, 18), PLASTIC)
    scene.add(block(50, 10, 12, 3).moved(70, 170, 34), PLASTIC)
    for x, z in ((230, -60), (262, -90)):
        scene.add(put(rod(22, 620), (x, -310, z), (0, 1, 0)), NEAR)
    for y in (-165, -55, 55, 165):
        scene.add(put(rod(26, 120), (150, y, -60), (1, 0, -0.2)), CAST)


def _rail(scene: Scene, *, near: bool) -> None:
    """The rail with its four coils, held down by six bolts by turns before and behind them."""
    z = 34.0
    scene.add(block(40, 396, 16, 12).moved(0, 0, z), PLASTIC)
    for y in (-138, -46, 46, 138):
        scene.add(block(74, 40, 18, 9).moved(0, y, z - 8), PLASTIC)
        scene.add(block(52, 24, 8, 6).moved(0, y, z + 10), Look(182))
    for right, rear in RAIL:
        scene.add(rod(12, 36).moved(-rear, right - 184, z - 8), PLASTIC)
    places = [(-rear, right - 184, z + 28) for right, rear in RAIL]
    fasten_dark(scene, "rail-bolts" if near else "", places, UP, torx_screw(15), 5)
    scene.add(
        put(plug(26, 18, 46), (0, 198, z + 8), (0, 1, 0)), BLACK, "rail-plug", (0, 216, z + 19)
    )
    scene.add(
        wire([(0, 244, z + 8), (-20, 290, z + 6), (-110, 310, z), (-180, 250, z - 10)], 5), BLACK
    )


def rail() -> Scene:
    """The ignition rail with the engine cover off, seen by one who stands before the car."""
    scene = Scene(Camera(0, 56, 3.0, (10, 8, 20), (1600, 1000)))
    _cam_cover(scene)
    _rail(scene, near=True)
    return scene


def _surroundings(scene: Scene) -> None:
    """What the engine stands between: wings, slam panel, bulkhead, strut towers, lamps."""
    for side in (-1, 1):
        scene.add(block(1150, 60, 40, 20).moved(-60, side * 690, 30), BODY)
        scene.add(
            revolved([(0, 0), (40, 0), (44, 14), (96, 10), (110, -40)]).moved(-330, side * 540, 20),
            NEAR,
        )
        scene.add(block(210, 120, 60, 30).moved(520, side * 600, -70), BODY)
    scene.add(block(110, 1320, 36, 16).moved(540, 0, 0), BODY)
    scene.add(block(70, 1320, 60, 10).moved(-560, 0, 10), BODY)
    scene.add(block(40, 700, 60, 8).moved(450, 0, -60), NEAR)


def _battery(scene: Scene) -> None:
    """The battery at the left, its negative post to the front."""
    scene.add(block(180, 250, 150, 10).moved(-20, 520, -160), PLASTIC)
    scene.add(block(172, 240, 12, 8).moved(-20, 520, -10), Look(182))
    for x, name in ((40, "battery-negative-nut"), (-82, "")):
        scene.add(rod(9, 24).moved(x, 440, 0), CAST)
        scene.add(block(40, 26, 16, 8).moved(x + 6, 436, 4), STEEL)
        scene.add(
            put(nut(12, 8), (x + 26, 428, 14)), Look(176), name, (x + 26, 428, 31) if name else None
        )
        dark = [(x, 420, 12), (x - 20, 370, 20), (x - 120, 340, -20), (x - 240, 330, -60)]
        scene.add(wire(dark, 8), BLACK if name else HOSE)


def _air_box(scene: Scene) -> None:
    """The air filter housing before the battery, its hose to the turbo, the air-mass sensor in its
    outlet.
    """
    scene.add(block(230, 270, 90, 30).moved(280, 470, -80), PLASTIC)
    scene.add(block(244, 284, 14, 34).moved(280, 470, 0), Look(182))
    scene.add(block(190, 220, 18, 26).moved(280, 470, 14), PLASTIC)
    ears = [(408, 400, 8), (408, 540, 8)]
    for x, y, z in ears:
        scene.add(block(40, 34, 8, 10).moved(x, y, z - 8), PLASTIC)
    fasten(scene, "air-box-bolts", ears, UP, hex_bolt(16), top_of(16))
    scene.add(put(rod(42, 80), (300, 330, -20), (0, -1, 0)), PLASTIC)
    scene.add(block(46, 34, 14, 6).moved(300, 292, 18), PLUG)
    scene.add(plug(24, 18, 40).moved(300, 292, 30), BLACK, "air-mass-plug", (309, 292, 44))
    path = [
        (300, 255, -20),
        (300, 180, -20),
        (330, 60, -30),
        (330, -120, -30),
        (270, -240, -50),
        (200, -290, -80),
    ]
    scene.add(bellows(path, 42, 16), HOSE, "intake-hose", (330, 0, 12))
    scene.add(put(clamp(46, 180), (214, -281, -72), (-0.75, -0.55, -0.3)), Look(176))


def bay() -> Scene:
    """The engine bay from above, the front of the car down."""
    scene = Scene(Camera(0, 64, 1.14, (0, 0, 0)))
    _surroundings(scene)
    _cam_cover(scene)
    _rail(scene, near=False)
    _battery(scene)
    _air_box(scene)
    _around_engine(scene)
    return scene


def _around_engine(scene: Scene) -> None:
    """Brake booster with its reservoir, coolant tank, inlet manifold, belt side, gearbox."""
    scene.add(
        put(
            revolved([(0, 60), (60, 56), (120, 30), (128, 0), (0, 0)]), (-520, 330, -20), (1, 0, 0)
        ),
        NEAR,
    )
    scene.add(put(rod(26, 120), (-460, 330, -20), (1, 0, 0)), NEAR)
    scene.add(block(120, 90, 44, 16).moved(-370, 330, 10), Look(232))
    scene.add(rod(30, 18).moved(-370, 330, 54), BLACK)
    scene.add(block(150, 170, 70, 34).moved(-190, -520, -20), Look(232))
    scene.add(rod(30, 18).moved(-190, -520, 50), BLACK)
    scene.add(wire([(-130, -500, 10), (60, -430, 0), (260, -420, -60)], 13), HOSE)
    scene.add(put(rod(56, 480), (-270, -240, -40), (0, 1, 0)), NEAR)
    for y in (-165, -55, 55, 165):
        scene.add(put(rod(26, 160), (-270, y, -40), (1, 0, 0.1)), NEAR)
    for x, z, r in ((120, -60, 46), (-60, -20, 62), (-170, -90, 40)):
        scene.add(put(rod(r, 30), (x, -330, z), (0, -1, 0)), DEEP)
    scene.add(block(70, 90, 120, 20).moved(230, -300, -170), NEAR)
    scene.add(block(300, 230, 120, 50).moved(-170, 380, -260), DEEP)
