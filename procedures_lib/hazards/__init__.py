"""The hazards that the library knows, as data."""

from procedures_lib.hazards.builtin import BUILTIN_HAZARDS, BuiltinHazard

__all__ = ["BUILTIN_HAZARDS", "BuiltinHazard"]
