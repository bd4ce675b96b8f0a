"""Chains of `on`, `behind` and `replaces` that lead back to where they began."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence


def circles(edges: Mapping[str, Sequence[str]]) -> Iterator[tuple[str, ...]]:
    """Yield the circles of a relation, each once: the ids on it, from the first that leads there.

    Every id is looked at once, so that the time is in proportion to the mentions.
    """
    done: set[str] = set()
    for start in edges:
        if start in done:
            continue
        path: dict[str, None] = {start: None}
        heap = [(start, iter(edges[start]))]
        while heap:
            name, rest = heap[-1]
            target = next((each for each in rest if each in edges and each not in done), None)
            if target is None:
                heap.pop()
                path.pop(name)
                done.add(name)
            elif target in path:
                names = list(path)
                yield tuple(names[names.index(target) :])
            else:
                path[target] = None
                heap.append((target, iter(edges[target])))
