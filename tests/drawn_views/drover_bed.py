"""The Drover behind its cab: the bed, the tank below it with the pump module, the relay on the
rail.
"""

from __future__ import annotations

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.hardware import (
    ALLOY,
    BLACK,
    BODY,
    HOSE,
    NEAR,
    PLASTIC,
    PLUG,
    STEEL,
    fasten,
    hex_bolt,
    plug,
    put,
    top_of,
    wire,
)
from tests.drawn_views.solids import (
    block,
    hollow,
    joined,
    prism,
    revolved,
    rod,
    rounded,
    tube,
)
from tests.drawn_views.wheels import round_places

UP = (0, 0, 1)
# Across and along the bed, from the page: front left, front right, middle and rear.
BED = [(x, y) for y in (720, 0, -720) for x in (-560, 560)]


def _floor(scene: Scene) -> None:
    """The bed's floor with its ribs, its sides, wheel boxes, front wall and open tailgate."""
    scene.add(block(1800, 1440, 10).moved(0, 0, -10), Look(246))
    for k in range(-5, 6):
        scene.add(block(1700, 52, 12, 8).moved(0, k * 94, 0), Look(246))
    for side in (-1, 1):
        scene.add(block(1800, 70, 400, 10).moved(0, side * 755, -60), BODY)
        scene.add(block(1840, 110, 26, 12).moved(0, side * 765, 340), BODY)
        box = prism(rounded(760, 150, 70), 170)
        scene.add(box.moved(-110, side * 700, 0), Look(236))
    scene.add(block(60, 1560, 400, 8).moved(920, 0, -60), BODY)
    scene.add(block(420, 1440, 30, 10).moved(-1130, 0, -40), BODY)


def bed() -> Scene:
    """The bed from above, its bolts with their heads in it."""
    scene = Scene(Camera(180, 62, 0.68, (-70, 0, 60), (1500, 1300)))
    _floor(scene)
    scene.add(block(500, 1500, 60, 60).moved(1240, 0, 500), BODY)
    scene.add(put(block(300, 1180, 8, 60), (985, 0, 330), (-1, 0, 0)), Look(200, around=True))
    for side in (-1, 1):
        for x in (760, -760):
            scene.add(put(hollow(26, 16, 10), (x, side * 716, 60), (0, -side, 0)), STEEL)
    places = [(along, -across, 0.0) for across, along in BED]
    for x, y, z in places:
        scene.add(rod(40, 4).moved(x, y, z), Look(210))
        scene.add(hollow(30, 24, 2).moved(x, y, z + 4), STEEL)
    at = [(x, y, z + 4) for x, y, z in places]
    fasten(scene, "bed-bolts", at, UP, hex_bolt(34), top_of(34))
    return scene


def _frame(scene: Scene) -> None:
    """The tank between the frame rails, its top ribbed, straps across."""
    for side in (-1, 1):
        scene.add(block(900, 80, 150, 6).moved(0, side * 300, -110), NEAR)
    scene.add(block(90, 560, 90, 6).moved(245, 0, -100), NEAR)
    scene.add(block(760, 470, 140, 60).moved(-60, 0, -150), PLASTIC)
    scene.add(block(180, 380, 10, 30).moved(-250, 0, -10), PLASTIC)
    for side in (-1, 1):
        scene.add(block(300, 46, 12, 20).moved(20, side * 170, -10), PLASTIC)


def _module(scene: Scene, name: str, look: Look) -> None:
    """The module's flange in the tank, with its eight bolts, two nipples and the arrow to the
    front.
    """
    scene.add(revolved([(0, 0), (98, 0), (98, 6), (90, 10), (0, 10)], 96).moved(z=-10), STEEL)
    scene.add(revolved([(0, 0), (82, 0), (82, 6), (80, 8), (52, 8), (48, 22), (0, 22)], 96), look)
    arrow = prism([(70, 0), (56, 7), (56, 2.5), (50, 2.5), (50, -2.5), (56, -2.5), (56, -7)], 0.6)
    scene.add(arrow.turned("z", 22.5).moved(z=8), Look(90))
    places = [(z, x, 8.0) for x, _, z in round_places(8, 68, 1)]
    fasten(scene, name, places, UP, hex_bolt(13), top_of(13))


def _line(scene: Scene, name: str, y: float, look: Look) -> None:
    """A line on its nipple: the quick coupling with its two ears, and the line to the front."""
    x = -22.0
    scene.add(rod(6, 22).moved(x, y, 20), STEEL)
    body = joined([rod(10, 20, 24), block(30, 14, 12, 3).moved(z=4), block(9, 30, 8, 2).moved(z=6)])
    scene.add(body.moved(x, y, 34), PLUG, name, (x - 15, y, 45))
    elbow = [(x, y, 50), (x + 4, y, 62), (x + 26, y, 68), (x + 90, y, 66), (x + 230, y * 1.4, 30)]
    scene.add(tube(elbow, 6.5, segments=20), look)


def _plug(scene: Scene, name: str, y: float) -> None:
    """A grey four-way plug on the module, its lead to the rear."""
    side = 1 if y > 0 else -1
    scene.add(block(20, 26, 18, 3).moved(8, y, 20), PLASTIC)
    scene.add(plug(26, 18, 36).turned("z", 180).moved(8, y, 34), PLUG, name, (-1, y, 44))
    lead = [
        (8, y, 70),
        (8, y + side * 8, 88),
        (0, y + side * 60, 76),
        (-60, y + side * 150, 20),
        (-90, side * 330, 0),
    ]
    scene.add(wire(lead, 4), BLACK)


def old_module() -> Scene:
    """The module that the truck came with: two plugs of one kind, two couplings of one kind."""
    scene = Scene(Camera(180, 54, 4.2, (0, 0, 22)))
    _frame(scene)
    _module(scene, "module-bolts", PLASTIC)
    _line(scene, "feed-line", 17, Look(140))
    _line(scene, "purge-line", -17, Look(190))
    _plug(scene, "pump-plug", 36)
    _plug(scene, "pressure-plug", -36)
    return scene


def new_module() -> Scene:
    """The larger module in the tank, before lines and plugs go on."""
    scene = Scene(Camera(180, 58, 4.0, (0, 0, 5)))
    _frame(scene)
    _module(scene, "module-310-bolts", ALLOY)
    for y in (-14, 14):
        scene.add(joined([rod(6, 24), rod(8, 4).moved(z=12)]).moved(-10, y, 20), STEEL)
    for y in (-34, 34):
        scene.add(block(20, 26, 22, 3).moved(10, y, 20), PLASTIC)
        scene.add(block(14, 20, 1, 2).moved(10, y, 42), Look(90))
    return scene


def relay() -> Scene:
    """The relay on the inside of the left rail, above the tank, plugs down."""
    scene = Scene(Camera(232, 14, 3.4, (0, 0, -10)))
    scene.add(block(700, 14, 260, 0).moved(0, 60, -130), NEAR)
    for z in (-130, 116):
        scene.add(block(700, 70, 14, 0).moved(0, 26, z), NEAR)
    for x in (-150, 170):
        scene.add(put(rod(22, 1), (x, 53, 20), (0, -1, 0)), Look(150))
    plate = [
        (-24, -20),
        (24, -20),
        (24, 100),
        (-24, 100),
        (-24, 12),
        (-74, 12),
        (-74, -28),
        (-24, -28),
    ]
    scene.add(prism(plate, 6).turned("x", 90).moved(y=53), STEEL)
    scene.add(block(60, 44, 62, 6).moved(0, 26, -12), BLACK)
    bolts = [(0, 47, 80), (-54, 47, -8)]
    scene.add(put(hollow(12, 6, 3), bolts[1], (0, -1, 0)), ALLOY)
    fasten(scene, "relay-310-bolts", bolts, (0, -1, 0), hex_bolt(14), top_of(14))
    _relay_leads(scene)
    return scene


def _relay_leads(scene: Scene) -> None:
    down = (0, 0, -1)
    for name, x in (("relay-310-in", -18), ("relay-310-out", 18)):
        scene.add(put(plug(26, 22, 38), (x, 22, -13), down), PLUG, name, (x, 9, -30))
        end = (x * 12, -24, -128) if x > 0 else (-260, -20, -104)
        scene.add(wire([(x, 22, -50), (x, 20, -74), (x * 3, 16, -100), end], 4.5), BLACK)
    earth = [(-62, 44, -14), (-84, 40, -24), (-130, 40, -20), (-180, 46, 10)]
    scene.add(wire(earth, 4), HOSE, "relay-310-earth", (-128, 36, -19))
    feed = [(22, 26, 44), (54, 20, 58), (150, 34, 66), (380, 40, 60)]
    scene.add(wire(feed, 6), Look(135), "relay-310-feed", (120, 24, 66))
