"""Hazards: those of the library, and what a page declares or says of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from procedures_lib.data_tables import toml_table
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.field_types import OneOf, Text, Texts, When, YesNo
from procedures_lib.language.variants import ALWAYS, Condition


class Hazard(Entity):
    """A hazard that a page declares, or what it says of a built-in one."""

    KIND: ClassVar[str] = "hazard"

    name: Text
    signal: Annotated[str, OneOf("DANGER", "WARNING", "CAUTION", "NOTICE")]
    harm: Text
    avoid: Text
    called_by: Texts = ()
    made_safe_by: Text = ""
    licensed: YesNo = False
    tools: Texts = ()
    protection: Texts = ()
    when: When = ALWAYS

    @property
    def cars(self) -> Condition:
        """The cars that it is for: all, where the library calls for it by itself."""
        known = BUILTIN_HAZARDS.get(self.id)
        return ALWAYS if known and known.calls_by_itself else self.when


@dataclass(frozen=True, slots=True)
class BuiltinHazard:
    """A hazard of the library.

    ``signal`` is the signal word after ANSI Z535.6; ``carries`` what a connection carries when
    opening it calls for the hazard, ``verbs`` and ``part_kinds`` likewise; ``made_safe_by`` the
    action that makes it safe ("" where there is none, "declared" where the page says, and
    ``unless_declared`` where it doesn't); ``licensed`` work is left to certified people. Without
    ``tools`` and ``protection``, which is worn, the work does not begin.
    """

    id: str
    name: str
    signal: str
    harm: str
    avoid: str
    source: str
    carries: tuple[str, ...] = ()
    verbs: tuple[str, ...] = ()
    part_kinds: tuple[str, ...] = ()
    made_safe_by: str = ""
    unless_declared: str = ""
    licensed: bool = False
    tools: tuple[str, ...] = ()
    protection: tuple[str, ...] = ()

    @property
    def calls_by_itself(self) -> bool:
        """Whether something on any car calls for it, without a word of a page."""
        return bool(self.carries or self.verbs or self.part_kinds)

    @property
    def cars(self) -> Condition:
        """The cars that it is for: all."""
        return ALWAYS


BUILTIN_HAZARDS = {
    name: BuiltinHazard(id=name, **{key.replace("-", "_"): value for key, value in row.items()})
    for name, row in toml_table(__package__, "builtin_hazards.toml").items()
}
