"""The left of the Drover's engine: what is in front of the manifold, and the orange cable."""

from __future__ import annotations

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.drover_headers import _head
from tests.drawn_views.hardware import (
    ALLOY,
    BOLT,
    CAST,
    DEEP,
    NEAR,
    STEEL,
    fasten,
    hex_bolt,
    hollow_banjo,
    put,
    top_of,
    wire,
)
from tests.drawn_views.solids import block, joined, prism, revolved, rod, smooth, tube

LEFT, UP = (0, 1, 0), (0, 0, 1)


def _shield(scene: Scene) -> None:
    """The heat shield over the manifold, its three bolts."""
    edge = [(-170, -70), (150, -70), (172, -40), (160, 58), (-150, 58), (-176, -20)]
    scene.add(prism(smooth(edge, 6, closed=True), 8).turned("x", 90).moved(0, 96, -20), ALLOY)
    for x in (-90, 0, 90):
        scene.add(block(12, 4, 96, 3).moved(x, 98, -66), ALLOY)
    at = [(-132.0, 96.0, 10.0), (132, 96, 10), (44, 96, -66)]
    fasten(scene, "left-shield-bolts", at, LEFT, hex_bolt(16), top_of(16))
    down = [(-120, 60, -70), (-150, 66, -160), (-160, 60, -260), (-190, 40, -380)]
    scene.add(tube(down, 30), DEEP)


def _dipstick(scene: Scene) -> None:
    """The dipstick tube before the shield, its bolt at the head."""
    run = [(190, 60, -250), (196, 96, -120), (206, 110, 20), (214, 112, 130)]
    scene.add(tube(run, 8), STEEL, "dipstick-tube", (200, 112, -60))
    scene.add(
        put(joined([rod(11, 14), revolved([(7, 14), (9, 30), (0, 34)])]), (214, 112, 130), UP), BOLT
    )
    scene.add(block(34, 8, 26, 6).moved(190, 92, 66), STEEL)
    fasten(scene, "dipstick-bolt", [(182, 97, 79)], LEFT, hex_bolt(13), top_of(13))


def left_side() -> Scene:
    """Shield on, steering pump and its line in front, orange cable above."""
    scene = Scene(Camera(78, 12, 2.35, (60, 40, -50), (1600, 1200)))
    _head(scene, 1)
    _shield(scene)
    _dipstick(scene)
    scene.add(put(rod(62, 90), (290, 20, -40), (1, 0, 0)), CAST)
    pulley = [(0, 0), (74, 0), (74, 8), (68, 12), (74, 16), (74, 26), (0, 26)]
    scene.add(put(revolved(pulley), (384, 20, -40), (1, 0, 0)), NEAR)
    scene.add(put(rod(24, 26), (320, 70, -40), LEFT), CAST)
    banjo = (320.0, 96.0, -40.0)
    scene.add(put(hollow_banjo(20), banjo, LEFT), STEEL)
    fasten(scene, "steering-banjo", [(320, 112, -40)], LEFT, hex_bolt(22), top_of(22))
    line = [(320, 104, -62), (318, 106, -110), (290, 110, -190), (120, 100, -250), (-80, 90, -300)]
    scene.add(tube(line, 9, segments=20), Look(206), "steering-line", (304, 118, -160))
    cable = [(330, -30, 158), (180, -10, 168), (-60, -10, 168), (-330, -60, 160)]
    scene.add(wire(cable, 12), Look(150), "assist-cable", (30, 1, 170))
    return scene
