"""A set of cars as the shortest option expression that names it.

Up to :data:`_MOST_CUBES` candidate terms the terms are prime implicants, and the fewest and
shortest of them are taken (Quine 1952, McCluskey 1956); beyond that, terms none of
which can be left out.
"""

from __future__ import annotations

from itertools import combinations, product
from math import prod

from procedures_lib.language.variants.car_sets import Region, Space

Cube = tuple[frozenset[int], ...]
Term = tuple[tuple[int, frozenset[int]], ...]
Cover = dict[Term, Region]
Words = list[tuple[str, tuple[str, ...]]]


_MOST_CUBES = 800
_MOST_TERMS_SHOWN = 40
_MOST_TERMS = 3


def shortest_text(region: Region) -> str:
    """Return the shortest expression for a set of cars: "" for all, "no car" for none.

    With more than :data:`_MOST_TERMS_SHOWN` terms one of them stands for all, as "… or …".
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


def _free(words: Words) -> Cube:
    """Return the term that holds for every car: each option may have any of its values."""
    return tuple(frozenset(range(len(values))) for _, values in words)


def _either(cubes: list[Cube], words: Words) -> str:
    """Return a sum of terms, with what they all share put in front."""
    free = _free(words)
    shared = [
        chosen if len(set(column)) == 1 else everything
        for column, everything, chosen in zip(zip(*cubes, strict=True), free, cubes[0], strict=True)
    ]
    front = _tests(tuple(shared), words)
    if not front or len(cubes) == 1:
        return " or ".join(" and ".join(_tests(cube, words)) for cube in cubes)
    rest = [
        tuple(
            everything if common == chosen else chosen
            for chosen, common, everything in zip(cube, shared, free, strict=True)
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
            pairs = zip(cube, _free(words), strict=True)
            flipped = tuple(everything - chosen or everything for chosen, everything in pairs)
            parts += _tests(flipped, words)
        else:
            parts.append(f"not ({' and '.join(term)})")
    return " and ".join(parts)


def _cubes(region: Region, words: Words) -> tuple[list[Cube], bool]:
    """Return terms that make up the set, and whether those are all of them."""
    primes = _prime_cover(region, words)
    if primes:
        return primes, True
    try:
        return _irredundant(region, words), True
    except _TooManyError:
        return [_one_term(region, words)], False


class _TooManyError(Exception):
    """More terms than anybody would read."""


def _one_term(region: Region, words: Words) -> Cube:
    """Return one path of the diagram to "yes"."""
    cube = dict(zip((option for option, _ in words), _free(words), strict=True))
    while region.children:
        at = next(n for n, child in enumerate(region.children) if child)
        cube[region.space.options[region.level][0]] = frozenset({at})
        region = region.children[at]
    return tuple(cube.values())


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


# -- irredundant, for many -------------------------------------------------------------------------


def _irredundant(region: Region, words: Words) -> list[Cube]:
    """Return terms none of which can be left out (Minato 1993, for options of several values)."""
    places = {option: n for n, (option, _) in enumerate(words)}
    cubes = []
    for literals in _cover(region, region, {}):
        cube = list(_free(words))
        for level, chosen in literals:
            cube[places[region.space.options[level][0]]] = chosen
        cubes.append(tuple(cube))
    return cubes


def _cover(least: Region, most: Region, seen: dict[tuple[int, int], Cover]) -> Cover:
    """Return terms that hold all of ``least`` and nothing outside ``most``."""
    if not least:
        return {}
    if most is most.space.all:
        return {(): most}
    key = (least.serial, most.serial)
    found = seen.get(key)
    if found is None:
        found = seen[key] = _split(least, most, seen)
    return found


def _split(least: Region, most: Region, seen: dict[tuple[int, int], Cover]) -> Cover:
    space = least.space
    level = min(least.level, most.level)
    values = range(len(space.options[level][1]))
    lows = [_child(least, level, n) for n in values]
    highs = [_child(most, level, n) for n in values]
    common = space.all
    for high in highs:
        common = common & high
    found: Cover = {}
    by_term: dict[Term, set[int]] = {}
    left = space.none
    for n in values:
        cover = _cover(lows[n] - common, highs[n], seen)
        covered = space.none
        for term, held in cover.items():
            by_term.setdefault(term, set()).add(n)
            covered = covered | held
        left = left | (lows[n] - covered)
    for term, chosen in by_term.items():
        held = _held(space, level, chosen, term)
        found[((level, frozenset(chosen)), *term)] = held
    found.update(_cover(left, common, seen))
    if len(found) > _MOST_TERMS_SHOWN:
        raise _TooManyError
    return found


def _held(space: Space, level: int, chosen: set[int], term: Term) -> Region:
    held = space.all
    for at, values in ((level, frozenset(chosen)), *term):
        option, words = space.options[at]
        held = held & space.test(option, tuple(words[n] for n in sorted(values)))
    return held


def _child(region: Region, level: int, value: int) -> Region:
    return region.children[value] if region.level == level else region
