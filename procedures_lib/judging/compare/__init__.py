"""Two states of a manual compared: which numbers, steps and parts a change touches."""

from procedures_lib.judging.compare.change import (
    Act,
    Change,
    Comparison,
    Group,
    Harm,
    Stale,
    Thing,
    Unread,
    Use,
)
from procedures_lib.judging.compare.comparison import compare

__all__ = [
    "Act",
    "Change",
    "Comparison",
    "Group",
    "Harm",
    "Stale",
    "Thing",
    "Unread",
    "Use",
    "compare",
]
