"""The data files of pulls compared: the same name may hold another pull."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING

from procedures_lib.compare.change import Act, Change, Group, Thing
from procedures_lib.entities.dyno import DynoSession

if TYPE_CHECKING:
    from procedures_lib.entities.base import Entity

Digest = Callable[[str, str], str]
"""From a page and a file's name on it to a hash of what the file holds; "" for none."""


def data_changes(
    pairs: Iterable[tuple[Entity, Entity]], before: Digest, after: Digest
) -> Iterator[Change]:
    """Yield the pulls whose file has the same name in both states and holds something else."""
    for old, new in pairs:
        if not isinstance(old, DynoSession) or not isinstance(new, DynoSession):
            continue
        known = {str(pull.pull): pull for pull in (*old.before, *old.after)}
        for pull in (*new.before, *new.after):
            name = str(pull.pull)
            if name not in known:
                continue
            digests = before(old.place.page, name), after(new.place.page, name)
            if digests[0] != digests[1]:
                act = Act.CHANGED if all(digests) else Act.ADDED if digests[1] else Act.DROPPED
                yield Change(Group.NUMBERS, pull.place, "data file", Thing("pull", name), act,
                             name if digests[0] else "", name if digests[1] else "",
                             "its samples differ" if all(digests) else "",
                             known[name].place)  # fmt: skip
