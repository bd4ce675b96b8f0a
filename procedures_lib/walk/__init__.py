"""The walk: a procedure carried out on paper, in every variant, before anyone lifts a spanner."""

from procedures_lib.walk.open_items import OpenItem
from procedures_lib.walk.walk import Walk, walk

__all__ = ["OpenItem", "Walk", "walk"]
