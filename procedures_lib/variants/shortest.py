"""A set of cars as the shortest option expression that names it.

Up to :data:`_MOST_CUBES` candidate terms the terms are prime implicants, and the fewest and
shortest of them are taken (Quine 1952, McCluskey 1956); beyond that, paths of the diagram.
"""

from __future__ import annotations

from itertools import combinations, islice, product
from math import prod
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.variants.region import Region

    Cube = tuple[frozenset[int], ...]
    Words = list[tuple[str, tuple[str, ...]]]

_MOST_CUBES = 800
_MOST_PATHS = 40
_MOST_TERMS = 3


def shortest_text(region: Region) -> str:
    """Return the shortest expression for a set of cars: "" for all, "no car" for none.

    When there are more than :data:`_MOST_PATHS` terms, the rest is left out as "or …".
    """
    space = region.space
    if region is space.all:
        return ""
    if not region:
        return "no car"
    options = dict(space.options)
    words: Words = [(option, options[option]) for option in region.support()]
    yes, yes_all = _cubes(region, words)
    no, no_all = _cubes(~region, words)
    texts = [_either(yes, words)] if yes_all else []
    texts += [_neither(no, words)] if no_all else []
    if not texts:
        return f"{_either(yes, words)} or …"
    return min(texts, key=len)


def _either(cubes: list[Cube], words: Words) -> str:
    """Return a sum of terms, with what they all share put in front."""
    shared = [
        chosen if len(set(column)) == 1 else frozenset(range(len(values)))
        for column, (_, values), chosen in zip(
            zip(*cubes, strict=True), words, cubes[0], strict=True
        )
    ]
    front = _tests(tuple(shared), words)
    if not front or len(cubes) == 1:
        return " or ".join(" and ".join(_tests(cube, words)) for cube in cubes)
    rest = [
        tuple(
            frozenset(range(len(values))) if common == chosen else chosen
            for chosen, common, (_, values) in zip(cube, shared, words, strict=True)
        )
        for cube in cubes
    ]
    inner = " or ".join(" and ".join(_tests(cube, words)) for cube in rest)
    return f"{' and '.join(front)} and ({inner})"


def _neither(cubes: list[Cube], words: Words) -> str:
    """Return the complement of a sum of terms, as a product of its negated terms."""
    parts = []
    for cube in cubes:
        term = _tests(cube, words)
        if len(term) == 1:
            flipped = tuple(
                everything - chosen if chosen != everything else everything
                for chosen, everything in (
                    (chosen, frozenset(range(len(values))))
                    for chosen, (_, values) in zip(cube, words, strict=True)
                )
            )
            parts += _tests(flipped, words)
        else:
            parts.append(f"not ({' and '.join(term)})")
    return " and ".join(parts)


def _cubes(region: Region, words: Words) -> tuple[list[Cube], bool]:
    """Return terms that make up the set, and whether those are all of them."""
    primes = _prime_cover(region, words)
    if primes:
        return primes, True
    paths = list(islice(_paths(region, words), _MOST_PATHS + 1))
    return paths[:_MOST_PATHS], len(paths) <= _MOST_PATHS


def _tests(cube: Cube, words: Words) -> list[str]:
    tests = []
    for chosen, (option, values) in zip(cube, words, strict=True):
        if len(chosen) == len(values):
            continue
        if len(chosen) == 1 and values[min(chosen)]:
            tests.append(f"{option}={values[min(chosen)]}")
            continue
        left = [value for n, value in enumerate(values) if n not in chosen]
        if len(left) == 1:
            tests.append(f"not {option}={left[0]}")
        elif "" in {values[n] for n in chosen}:
            tests.append(f"not {option} in [{', '.join(left)}]")
        else:
            tests.append(f"{option} in [{', '.join(values[n] for n in sorted(chosen))}]")
    return tests


# -- exact, for few options ------------------------------------------------------------------------


def _prime_cover(region: Region, words: Words) -> list[Cube]:
    """Return the fewest prime implicants that make up the set; [] when there are too many."""
    if prod(2 ** len(values) - 1 for _, values in words) > _MOST_CUBES:
        return []
    cars = list(product(*(range(len(values)) for _, values in words)))
    wanted = {car for car in cars if _holds(region, words, car)}
    choices = [_subsets(len(values)) for _, values in words]
    implicants = []
    for cube in product(*choices):
        covered = set(product(*cube))
        if covered <= wanted:
            implicants.append((cube, covered))
    primes = [
        (cube, covered)
        for cube, covered in implicants
        if not any(covered < larger for _, larger in implicants)
    ]
    primes.sort(key=lambda prime: _length(prime[0], words))
    return _fewest(primes, wanted, words)


def _holds(region: Region, words: Words, car: tuple[int, ...]) -> bool:
    values = {option: texts[n] for (option, texts), n in zip(words, car, strict=True)}
    return region.contains(values)


def _subsets(count: int) -> list[frozenset[int]]:
    return [
        frozenset(chosen)
        for size in range(1, count + 1)
        for chosen in combinations(range(count), size)
    ]


def _length(cube: Cube, words: Words) -> int:
    return sum(map(len, _tests(cube, words)))


def _fewest(
    primes: list[tuple[Cube, set[tuple[int, ...]]]], wanted: set[tuple[int, ...]], words: Words
) -> list[Cube]:
    for count in range(1, _MOST_TERMS + 1):
        found = [
            [cube for cube, _ in chosen]
            for chosen in combinations(primes, count)
            if set().union(*(covered for _, covered in chosen)) == wanted
        ]
        if found:
            return min(found, key=lambda cubes: sum(_length(cube, words) for cube in cubes))
    return _greedy(primes, wanted)


def _greedy(
    primes: list[tuple[Cube, set[tuple[int, ...]]]], wanted: set[tuple[int, ...]]
) -> list[Cube]:
    left, chosen = set(wanted), []
    while left:
        cube, covered = max(primes, key=lambda prime: len(prime[1] & left))
        chosen.append(cube)
        left -= covered
    return chosen


# -- paths of the diagram, for many ----------------------------------------------------------------


def _paths(region: Region, words: Words) -> Iterator[Cube]:
    """Yield the paths to "yes", children that are one node taken together."""
    places = {option: n for n, (option, _) in enumerate(words)}
    free: Cube = tuple(frozenset(range(len(values))) for _, values in words)
    heap = [(region, free)]
    while heap:
        node, cube = heap.pop()
        if not node.children:
            if node:
                yield cube
            continue
        at = places[node.space.options[node.level][0]]
        groups: dict[int, list[int]] = {}
        for n, child in enumerate(node.children):
            groups.setdefault(child.serial, []).append(n)
        for numbers in groups.values():
            child = node.children[numbers[0]]
            if child:
                heap.append((child, (*cube[:at], frozenset(numbers), *cube[at + 1 :])))
