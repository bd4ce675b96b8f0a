"""Which cars a thing is true for: option expressions, pure and without files."""

from procedures_lib.language.variants.condition import (
    ALWAYS,
    Condition,
    ConditionError,
    is_condition_word,
    read_condition,
)

__all__ = ["ALWAYS", "Condition", "ConditionError", "is_condition_word", "read_condition"]
