"""Reads the built-in hazards from ``builtin_hazards.toml``."""

from __future__ import annotations

from dataclasses import dataclass

from procedures_lib.data_tables import toml_table


@dataclass(frozen=True, slots=True)
class BuiltinHazard:
    """A hazard of the library.

    ``signal`` is the signal word after ANSI Z535.6; ``carries`` what a connection carries when
    opening it calls for the hazard, ``verbs`` and ``part_kinds`` likewise; ``made_safe_by`` the
    action that makes it safe ("" where there is none, "declared" where the page says);
    ``licensed`` work is left to certified people.
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
    licensed: bool = False


def _read() -> dict[str, BuiltinHazard]:
    return {
        name: BuiltinHazard(id=name, **{key.replace("-", "_"): value for key, value in row.items()})
        for name, row in toml_table(__package__, "builtin_hazards.toml").items()
    }


BUILTIN_HAZARDS = _read()
