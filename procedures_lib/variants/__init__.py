"""Which cars a thing is true for: option expressions, pure and without files."""

from procedures_lib.variants.condition import ALWAYS, Condition, ConditionError, read_condition

__all__ = ["ALWAYS", "Condition", "ConditionError", "read_condition"]
