"""The Drover's engine from below, with its front pipe, and its right side with compressor and
heater pipe.
"""

from __future__ import annotations

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.hardware import (
    ALLOY,
    BLACK,
    BOLT,
    CAST,
    DEEP,
    HOSE,
    NEAR,
    PLUG,
    STEEL,
    bellows,
    clamp,
    fasten,
    hex_bolt,
    hose,
    nut,
    plug,
    put,
    top_of,
    wire,
)
from tests.drawn_views.solids import block, joined, prism, revolved, rod, smooth, tube

DOWN, REAR, RIGHT = (0, 0, -1), (-1, 0, 0), (0, -1, 0)


def _from_below(scene: Scene) -> None:
    """Sump, gearbox, crossmember and frame rails."""
    scene.add(block(420, 250, 120, 40).moved(120, 0, -60), NEAR)
    scene.add(revolved([(0, 0), (16, 0), (16, 8), (0, 8)]).scaled(1, 1, -1).moved(0, 70, -60), DEEP)
    bell = [(150, 0), (140, 120), (96, 190), (88, 420), (70, 520), (0, 520)]
    scene.add(put(revolved(bell), (-110, 0, 60), REAR), NEAR)
    scene.add(block(90, 900, 60, 10).moved(-430, 0, -40), NEAR)
    for side in (-1, 1):
        scene.add(block(1400, 80, 140, 6).moved(-80, side * 430, -40), NEAR)
    scene.add(block(130, 900, 70, 12).moved(330, 0, -90), NEAR)


def front_pipe() -> Scene:
    """Both joints of the front pipe and both sensor plugs, from below."""
    scene = Scene(Camera(180, -64, 1.62, (-60, 0, 0), (1600, 1300)))
    _from_below(scene)
    for side, word in ((1, "left"), (-1, "right")):
        y = side * 235
        scene.add(tube([(130, side * 250, 130), (80, side * 250, 60), (20, y, 0)], 30), ALLOY)
        down = (-0.55, 0, -0.84)
        pad = [(-30, -62), (30, -62), (40, 0), (30, 62), (-30, 62), (-40, 0)]
        scene.add(put(prism(smooth(pad, 5, closed=True), 12), (20, y, 2), down), STEEL)
        scene.add(put(prism(smooth(pad, 5, closed=True), 12), (12, y, -10), down), CAST)
        at = [(5, y + dy, -20) for dy in (46, -46)]
        fasten(scene, "joint-nuts", at, down, nut(18, 10), 23)
        run = [
            (0, y, -20),
            (-50, y, -72),
            (-120, side * 215, -84),
            (-190, side * 150, -84),
            (-290, side * 60, -84),
        ]
        scene.add(tube(run, 31, segments=28), CAST, f"{word}-joint", (-30, y, -84))
        _sensor_lead(scene, side, word)
    scene.add(
        tube([(-270, 0, -84), (-330, 0, -84), (-420, 0, -84), (-620, 0, -80)], 40, segments=28),
        CAST,
    )
    return scene


def _sensor_lead(scene: Scene, side: int, word: str) -> None:
    """The sensor above the joint and its plug behind the engine: the same on both sides."""
    scene.add(
        put(joined([rod(12, 12), rod(9, 44)]), (60, side * 286, 50), (-0.3, side, -0.3)), STEEL
    )
    y = side * 118
    lead = [
        (44, side * 332, 34),
        (0, side * 340, 0),
        (-160, side * 300, 20),
        (-250, side * 170, -20),
        (-286, y, -30),
    ]
    scene.add(wire(lead, 5), BLACK)
    name = f"{word}-sensor-plug"
    scene.add(
        put(plug(28, 24, 46), (-292, y, -30), REAR).moved(0, 0, 0), PLUG, name, (-312, y, -43)
    )
    scene.add(put(block(26, 22, 26, 3), (-266, y, -30), REAR), PLUG)
    scene.add(wire([(-340, y, -30), (-366, y, -20), (-400, y * 1.1, 40)], 5), BLACK)


def _compressor(scene: Scene) -> None:
    """The compressor low at the front, its three bolts, its lines on the top, its belt and plug."""
    scene.add(put(rod(58, 130), (120, -150, -110), (-1, 0, 0)), ALLOY)
    scene.add(put(rod(50, 30), (150, -150, -110), (-1, 0, 0)), CAST)
    scene.add(
        put(
            revolved(
                [(0, 0), (66, 0), (66, 6), (60, 9), (66, 12), (60, 15), (66, 18), (66, 26), (0, 26)]
            ),
            (150, -150, -110),
            (1, 0, 0),
        ),
        STEEL,
    )
    at = [(112, -150, -38), (2, -150, -38), (58, -150, -182)]
    for x, _, z in at:
        scene.add(put(rod(17, 60), (x, -142, z), (0, 1, 0)), ALLOY)
        scene.add(put(rod(17, 56), (x, -196, z), (0, 1, 0)), ALLOY)
    places = [(x, -197, z) for x, _, z in at]
    fasten(scene, "compressor-bolts", places, RIGHT, hex_bolt(16), top_of(16))
    _refrigerant(scene)


def _refrigerant(scene: Scene) -> None:
    """The two lines of the compressor, which stay shut, and its plug."""
    for k, x in enumerate((80, 44)):
        scene.add(put(block(34, 40, 16, 5), (x, -206, -104), RIGHT), CAST)
        line = [
            (x, -218, -104),
            (x - 4, -236, -96),
            (x - 10, -244, -30),
            (x + 40 - k * 20, -250, 80 + k * 26),
            (330, -250, 110 + k * 40),
        ]
        scene.add(
            tube(line, 10 + 4 * k, segments=20),
            Look(206),
            "refrigerant-lines",
            (x - 9, -254 - 4 * k, -40),
        )
    scene.add(
        put(plug(24, 20, 38), (150, -206, -150), (0, -1, -0.4)),
        PLUG,
        "compressor-plug",
        (157, -222, -160),
    )
    scene.add(wire([(150, -240, -166), (190, -250, -180), (300, -240, -120)], 5), BLACK)


def right_side() -> Scene:
    """The right of the engine with the heat shield off."""
    scene = Scene(Camera(-76, 6, 2.1, (-70, -120, -30), (1600, 1100)))
    scene.add(block(520, 140, 150, 14).moved(-40, -60, 40), NEAR)
    scene.add(block(540, 150, 90, 30).moved(-40, -40, 190), NEAR)
    scene.add(block(560, 180, 280, 12).moved(-40, -50, -240), NEAR)
    scene.add(block(40, 500, 500, 10).moved(-440, -60, -160), NEAR)
    for x in (96, -12, -120):
        scene.add(tube([(x, -130, 108), (x, -170, 104), (x - 16, -184, 60)], 26), DEEP)
    scene.add(
        tube(
            [
                (120, -186, 70),
                (0, -190, 56),
                (-140, -190, 20),
                (-190, -180, -90),
                (-200, -170, -300),
            ],
            34,
        ),
        DEEP,
    )
    _compressor(scene)
    _heater_pipe(scene)
    warm = [(-150, -196, 40), (-170, -206, 110), (-120, -190, 190), (-20, -140, 250)]
    scene.add(bellows(warm, 24, 14), HOSE, "warm-air-hose", (-172, -230, 110))
    return scene


def _heater_pipe(scene: Scene) -> None:
    """The heater pipe along the block, a hose at both its ends."""
    pipe = [(-30, -226, -60), (-80, -228, -56), (-200, -228, -10), (-290, -228, 30)]
    scene.add(tube(pipe, 12, segments=20), STEEL)
    at = [(-76, -240, -36), (-210, -240, 16)]
    for x, y, z in at:
        scene.add(put(rod(13, 40), (x, y + 34, z), RIGHT), STEEL)
    fasten(
        scene,
        "heater-pipe-bolts",
        [(x, y - 6, z) for x, y, z in at],
        RIGHT,
        hex_bolt(13),
        top_of(13),
    )
    front = [(-22, -226, -62), (4, -226, -74), (6, -222, -140), (-40, -180, -226)]
    rear = [(-282, -228, 26), (-320, -228, 44), (-360, -220, 90), (-420, -190, 110)]
    scene.add(hose(front, 17), HOSE, "heater-front-hose", (10, -240, -118))
    scene.add(hose(rear, 17), HOSE, "heater-rear-hose", (-352, -240, 74))
    ends = [((-14, -226, -66), (0.9, 0, -0.4)), ((-294, -228, 33), (-0.9, 0, 0.4))]
    for place, axis in ends:
        x, y, z = place
        scene.add(put(clamp(19, 0), place, axis), BOLT, "heater-clamps", (x, y - 21, z))
