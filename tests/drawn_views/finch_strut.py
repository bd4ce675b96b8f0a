"""A front strut of the Finch, drawn apart: as the car has it, and as the kit builds it up."""

from __future__ import annotations

from tests.drawn_views.drawing import Camera, Look, Scene
from tests.drawn_views.hardware import (
    ALLOY,
    BOLT,
    CAST,
    RUBBER,
    STEEL,
    centre_line,
    nearest,
    nut,
    put,
    spring,
)
from tests.drawn_views.solids import Solid, block, hollow, joined, prism, revolved, rod, smooth

TOP = (-1, 0, 0)


def _lying(scene: Scene, solid: Solid, x: float, look: Look, name: str = "", z: float = 0) -> None:
    """A thing about the strut's line, its upper end to the left."""
    at = None if not name else (x, -z, z)
    scene.add(put(solid, (x, 0, 0), TOP), look, name, at)


def _mount(scene: Scene, x: float) -> None:
    """The top mount: rubber in its plate, three studs."""
    plate = smooth([(66, 0), (20, 62), (-56, 44), (-56, -44), (20, -62)], 8, closed=True)
    _lying(scene, prism(plate, 8), x, STEEL)
    cone = revolved([(52, -8), (56, 0), (40, 26), (14, 32), (14, -8)])
    scene.add(put(cone, (x, 0, 0), TOP), RUBBER, "top-mounts", (x - 22, -30, 26))
    for y, z in ((50, 0), (-34, 40), (-34, -40)):
        scene.add(put(rod(5, 34), (x - 6, z, y), TOP), BOLT)


def _damper(scene: Scene, x: float, name: str) -> None:
    """Rod, tube with its spring seat, foot with the two holes of the knuckle."""
    scene.add(put(rod(10, 150), (x, 0, 0), TOP), STEEL)
    scene.add(put(rod(27, 4), (x, 0, 0), TOP), CAST)
    body = put(rod(26, 240), (x + 240, 0, 0), TOP)
    scene.add(body, STEEL, name, (x + 120, -19, 19))
    seat = revolved([(26, 0), (70, 16), (80, 34), (74, 34), (62, 22), (26, 12)])
    scene.add(put(seat, (x + 70, 0, 0), TOP), STEEL)
    foot = block(70, 56, 130, 8)
    scene.add(put(foot, (x + 320, 0, -10), TOP), STEEL)
    for k in (0, 1):
        hole = put(rod(9, 1), (x + 222 + 66 * k, -28, -16), (0, -1, 0))
        scene.add(hole, Look(80))
    scene.add(block(40, 8, 60, 4).moved(x + 170, -10, 20), CAST)


def strut(nuts: str, springs: str, dampers: str, *, short: bool) -> Scene:
    """Nut, mount, spring, bump stop and damper on their line; the kit's spring is shorter."""
    scene = Scene(Camera(-64, 20, 1.56, (30, 0, -16), (1600, 600)))
    centre_line(scene, (-520, 0, 0), (330, 0, 0))
    face = joined([nut(26, 0), hollow(22, 12, 3).moved(z=-3)])
    _lying(scene, face, -440, BOLT, nuts, 12)
    _mount(scene, -340)
    free = spring(60, 4.6 if short else 5.4, 190 if short else 230, 8)
    coil = put(free, (-60, 0, 0), TOP)
    scene.add(coil, ALLOY, springs, nearest(scene, coil))
    rings = [(13, 0), (26, 4), (22, 14), (26, 24), (21, 34)]
    rings += [(17, 44), (15, 46)] if short else [(26, 44), (20, 56), (24, 66), (17, 84)]
    stop = put(revolved([*rings, (11, rings[-1][1]), (11, 0), (13, 0)]), (44, 0, 0), TOP)
    scene.add(stop, RUBBER, "front-bump-stops", (24, -18, 17))
    _damper(scene, 250, dampers)
    return scene


def old() -> Scene:
    """The strut that the car came with."""
    return strut("rod-nuts", "front-springs", "front-struts", short=False)


def new() -> Scene:
    """The kit's strut with the cut bump stop."""
    return strut("rod-260-nuts", "front-260-springs", "struts-260", short=True)
