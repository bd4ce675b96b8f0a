"""The Drover's rear axle with its cover off, and an air spring at its left."""

from __future__ import annotations

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.drover_axle import COVER, REAR, _housing, _outline
from tests.drawn_views.hardware import (
    ALLOY,
    BLACK,
    BOLT,
    CAST,
    DEEP,
    NEAR,
    PLUG,
    RUBBER,
    STEEL,
    fasten,
    hex_bolt,
    nut,
    polygon,
    put,
    top_of,
    wire,
)
from tests.drawn_views.solids import block, hollow, joined, prism, revolved, rod

UP, LEFT = (0, 0, 1), (0, 1, 0)


def bearings() -> Scene:
    """The differential in the open axle, its bearing caps, adjusters and lock plates."""
    scene = Scene(Camera(187, 5, 3.3, (0, 0, -4), (1500, 1150)))
    _housing(scene)
    scene.add(put(prism(_outline(0.9), 1).turned("z", -90), (0, 0, 0), REAR), Look(150))
    for a, b in COVER:
        scene.add(put(rod(5.5, 0.6), (0, -a, b), REAR), Look(80))
    scene.add(
        put(revolved([(0, 0), (44, 0), (60, 26), (60, 62), (44, 90), (0, 90)]), (-6, -45, 0), LEFT),
        CAST,
    )
    gear = [(60, 0), (98, 0), (84, 26), (60, 26)]
    scene.add(put(revolved(gear, 96), (-6, 34, 0), (0, -1, 0)), STEEL)
    for k in range(26):
        tooth = block(26, 3, 10, 1).turned("y", -42).moved(90, 0, 14).turned("z", k * 360 / 26)
        scene.add(put(tooth, (-6, 34, 0), (0, -1, 0)), STEEL)
    scene.add(put(rod(17, 44), (-6, -22, 0), LEFT), STEEL)
    for side in (-1, 1):
        y = side * 76
        ring = hollow(46, 22, 24)
        scene.add(put(ring, (0, y - 12, 0), LEFT), ALLOY)
        scene.add(put(block(170, 36, 26, 14), (-22, y, 0), REAR), CAST)
        at = [(-48, y, 64), (-48, y, -64)]
        fasten(scene, "cap-bolts", at, REAR, hex_bolt(21), top_of(21))
        adjuster = hollow(40, 20, 16)
        scene.add(put(adjuster, (-4, y + side * 18, 0), (0, side, 0)), STEEL)
        holes = prism(polygon(24, 80), 12)
        scene.add(
            put(holes, (-4, y + side * 34, 0), (0, side, 0)),
            BOLT,
            "bearing-adjusters",
            (-43, y + side * 40, 0),
        )
        scene.add(put(block(22, 44, 5, 4), (-48, y + side * 14, 6), REAR), STEEL)
        fasten(scene, "lock-plate-bolts", [(-53, y + side * 2, 6)], REAR, hex_bolt(11), top_of(11))
    return scene


def air_spring() -> Scene:
    """The left air spring between axle and frame."""
    scene = Scene(Camera(122, 12, 2.3, (0, 60, 110), (1500, 1250)))
    scene.add(block(1100, 70, 150, 6).moved(0, -20, 270), NEAR)
    scene.add(block(150, 130, 12, 8).moved(0, 70, 262), STEEL)
    scene.add(put(rod(58, 700), (0, -420, -60), LEFT), NEAR)
    scene.add(block(170, 130, 12, 8).moved(0, 80, 2), STEEL)
    scene.add(block(60, 100, 60, 6).moved(0, 80, -56), NEAR)
    bag = [
        (0, 0),
        (50, 0),
        (52, 60),
        (62, 66),
        (66, 80),
        (60, 110),
        (74, 116),
        (84, 140),
        (84, 190),
        (74, 224),
        (60, 232),
    ]
    scene.add(revolved([*bag, (60, 246), (0, 246)], 72).moved(0, 80, 14), RUBBER)
    scene.add(revolved([(52, 0), (55, 0), (55, 40), (52, 44)], 72).moved(0, 80, 20), STEEL)
    fasten(scene, "air-spring-nuts", [(20, 78, 274)], UP, nut(18, 12), 26)
    at = [(-66, 126, 14), (66, 126, 14)]
    fasten(scene, "air-spring-bolts", at, UP, hex_bolt(15), top_of(15), (0,))
    scene.add(put(joined([prism(polygon(6, 16), 16), rod(10, 28)]), (-24, 84, 276), UP), PLUG)
    line = [(-24, 84, 302), (-30, 84, 330), (-70, 84, 346), (-200, 60, 300), (-460, 50, 310)]
    scene.add(wire(line, 7), BLACK, "air-lines", (-92, 86, 340))
    scene.add(put(rod(62, 60), (0, 230, -60), LEFT), DEEP)
    return scene
