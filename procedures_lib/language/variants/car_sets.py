"""Sets of cars, without listing them: a decision diagram over the options of a vehicle.

A node tests one option and has one child for each of its values; equal nodes are one node, so that
equal sets are the same object. Twenty options that have nothing to do with each other never meet
in one diagram, and cost no more than twenty times one.

Source of the method: reduced ordered decision diagrams, Bryant 1986 (IEEE Trans. Computers C-35 8),
with one child per value instead of two.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from operator import and_, sub

from procedures_lib.language.variants.condition import Condition, readable_test

Options = tuple[tuple[str, tuple[str, ...]], ...]
"""The options of a car, each with its values."""


def possible(condition: Condition, options: Options) -> bool:
    """Tell whether some car meets the expression, without trying all combinations."""
    values: dict[str, dict[str, None]] = {}
    known = dict(options)
    for option, value in condition.tests():
        values.setdefault(option, dict.fromkeys(known.get(option) or ("",)))
        if option not in known:
            values[option][value] = None
    return _can_hold(condition, values, {})


def _can_hold(
    condition: Condition, values: Mapping[str, Iterable[str]], car: dict[str, str]
) -> bool:
    verdict = _verdict(condition, car)
    if not isinstance(verdict, str):
        return verdict
    return any(_can_hold(condition, values, {**car, verdict: value}) for value in values[verdict])


def _verdict(condition: Condition, car: Mapping[str, str]) -> bool | str:
    """Judge an expression as far as the options of a car are chosen, or name the next to choose."""
    if condition.kind == "test":
        chosen = car.get(condition.option)
        return condition.option if chosen is None else chosen in condition.values
    verdicts = [_verdict(part, car) for part in condition.parts]
    if condition.kind == "not":
        return verdicts[0] if isinstance(verdicts[0], str) else not verdicts[0]
    settled = condition.kind == "or"
    if settled in verdicts:
        return settled
    return next((verdict for verdict in verdicts if isinstance(verdict, str)), not settled)


OTHER = ""
"""The value that stands for all that no page names, of an option that the vehicle lacks."""


class Region:
    """A set of cars of one :class:`Space`; equal sets are the same object."""

    __slots__ = ("_and", "_less", "children", "level", "serial", "space")

    def __init__(self, space: Space, serial: int, level: int, children: tuple[Region, ...]) -> None:
        """Make a node; only :class:`Space` does so."""
        self.space = space
        self.serial = serial
        self.level = level
        self.children = children
        self._and: dict[int, Region] = {}
        self._less: dict[int, Region] = {}

    def __bool__(self) -> bool:
        """Tell whether any car is in the set."""
        return self is not self.space.none

    def __and__(self, other: Region) -> Region:
        """Return the cars in both sets."""
        space = self.space
        if self is other or other is space.all:
            return self
        if self is space.all:
            return other
        if self is space.none or other is space.none:
            return space.none
        found = self._and.get(other.serial)
        if found is None:
            found = self._and[other.serial] = other._and[self.serial] = _joined(self, other, and_)
        return found

    def __sub__(self, other: Region) -> Region:
        """Return the cars in this set and not in the other."""
        space = self.space
        if other is space.none:
            return self
        if self is other or other is space.all or self is space.none:
            return space.none
        found = self._less.get(other.serial)
        if found is None:
            found = self._less[other.serial] = _joined(self, other, sub)
        return found

    def __invert__(self) -> Region:
        """Return the cars that are not in the set."""
        return self.space.all - self

    def __or__(self, other: Region) -> Region:
        """Return the cars in either set."""
        space = self.space
        if self is other or other is space.none:
            return self
        if self is space.none:
            return other
        if self is space.all or other is space.all:
            return space.all
        return ~(~self & ~other)

    def within(self, base: Region) -> Region:
        """Return a set that is the same inside ``base``, with as few options as that allows.

        What it holds outside ``base`` is of no account (Coudert and Madre 1990, "restrict").
        """
        space = self.space
        if base is space.all or not self.children or not base:
            return self
        if base.level < self.level:
            joined = space.none
            for child in base.children:
                joined = joined | child
            return self.within(joined)
        _, pairs = _paired(self, base)
        kept = [one.within(two) if two else None for one, two in pairs]
        free = next(child for child in kept if child is not None)
        return space.node(self.level, tuple(free if child is None else child for child in kept))

    def contains(self, car: Mapping[str, str]) -> bool:
        """Tell whether a car with these options is in the set.

        An option that the car does not name has the first value of that option.
        """
        node = self
        while node.children:
            option, values = node.space.options[node.level]
            value = car.get(option)
            node = node.children[values.index(value) if value in values else 0]
        return node is node.space.all

    def support(self) -> tuple[str, ...]:
        """Return the options on which the set depends, in the vehicle's order."""
        levels: set[int] = set()
        seen: set[int] = set()
        heap = [self]
        while heap:
            node = heap.pop()
            if node.serial not in seen and node.children:
                seen.add(node.serial)
                levels.add(node.level)
                heap += node.children
        return tuple(self.space.options[level][0] for level in sorted(levels))

    def example(self) -> dict[str, str]:
        """Return one car of the set, each option at its first value where that is free."""
        car = {option: values[0] for option, values in self.space.options}
        node = self
        while node.children:
            option, values = node.space.options[node.level]
            at = next(n for n, child in enumerate(node.children) if child)
            car[option] = values[at]
            node = node.children[at]
        return car


def _joined(one: Region, two: Region, operator: Callable[[Region, Region], Region]) -> Region:
    """Return what an operator makes of two sets, value by value of their first option."""
    level, pairs = _paired(one, two)
    return one.space.node(level, tuple(operator(a, b) for a, b in pairs))


def _paired(one: Region, two: Region) -> tuple[int, list[tuple[Region, Region]]]:
    if one.level == two.level:
        return one.level, list(zip(one.children, two.children, strict=True))
    if one.level < two.level:
        return one.level, [(child, two) for child in one.children]
    return two.level, [(one, child) for child in two.children]


_LAST = 1 << 30


class Space:
    """All cars that the options of a vehicle allow; makes regions of them.

    Options and values that conditions name beyond those are added as they come, so that a slip in
    one condition (a finding of its own) does not stop the rest.
    """

    def __init__(self, options: Options = ()) -> None:
        """Take the options of the vehicle, each with its values, in order."""
        self.options: list[tuple[str, tuple[str, ...]]] = list(options)
        self._level = {option: n for n, (option, _) in enumerate(self.options)}
        self._nodes: dict[tuple[int, ...], Region] = {}
        self._read: dict[Condition, Region] = {}
        self._tests: dict[tuple[str, tuple[str, ...]], Region] = {}
        self.none = Region(self, 0, _LAST, ())
        self.all = Region(self, 1, _LAST, ())

    def node(self, level: int, children: tuple[Region, ...]) -> Region:
        """Return the one node with these children."""
        first = children[0]
        if all(child is first for child in children):
            return first
        key = (level, *(child.serial for child in children))
        found = self._nodes.get(key)
        if found is None:
            found = self._nodes[key] = Region(self, len(self._nodes) + 2, level, children)
        return found

    def test(self, option: str, values: tuple[str, ...]) -> Region:
        """Return the cars whose option is one of these values."""
        key = (option, values)
        if key not in self._tests:
            known, meant = readable_test(option, values, dict(self.options))
            if known not in self._level:
                self._level[known] = len(self.options)
                self.options.append((known, (*dict.fromkeys(meant), OTHER)))
            level = self._level[known]
            words = self.options[level][1]
            children = tuple(self.all if word in meant else self.none for word in words)
            self._tests[key] = self.node(level, children)
        return self._tests[key]

    def region(self, condition: Condition) -> Region:
        """Return the cars that meet a condition."""
        if condition.kind == "and" and not condition.parts:
            return self.all
        found = self._read.get(condition)
        if found is None:
            found = self._read[condition] = self._region(condition)
        return found

    def _region(self, condition: Condition) -> Region:
        if condition.kind == "test":
            return self.test(condition.option, condition.values)
        if condition.kind == "not":
            return ~self.region(condition.parts[0])
        both = condition.kind == "and"
        found = self.all if both else self.none
        for part in condition.parts:
            found = found & self.region(part) if both else found | self.region(part)
        return found
