"""Two states of a manual compared: which numbers, steps and parts a change touches."""

from procedures_lib.compare.change import Act, Change, Comparison, Group, Thing, Unread, Use
from procedures_lib.compare.comparing import compare

__all__ = ["Act", "Change", "Comparison", "Group", "Thing", "Unread", "Use", "compare"]
