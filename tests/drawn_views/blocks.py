"""What the block of a view must say: each thing with its points, by the names of its positions if
it has any.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from procedures_lib.language.entities.car import Fastener
from procedures_lib.manual import Manual
from tests.drawn_views.drawing import Scene


def shows_of(scene: Scene, manual: Manual, page: str) -> dict[str, Any]:
    """The points of a view as a block on that page has them.

    Of a thing without positions all its points, or one where not all of its places are seen.
    """
    scope = manual.scope(page)
    found: dict[str, Any] = {}
    for name, points in scene.shows().items():
        entity = scope.get(name)
        listed: list[Sequence[int]] = [list(point) for point in points]
        if isinstance(entity, Fastener) and entity.positions:
            names = [str(position) for position in dict(entity.positions)]
            found[name] = dict(zip(names, listed, strict=True))
        elif len(listed) > 1 and len(listed) == getattr(entity, "count", 1):
            found[name] = listed
        else:
            found[name] = listed[0]
    return found


def lines_of(shows: dict[str, Any]) -> str:
    """The points as they stand in a page."""
    lines = ["shows:"]
    for name, at in shows.items():
        said = str(at).replace("'", "")
        lines.append(f"  {name}: {said}")
    return "\n".join(lines)
