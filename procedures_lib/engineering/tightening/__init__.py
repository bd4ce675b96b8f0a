"""Tightening: the stages of a joint, as plain values without files or pages."""

from procedures_lib.engineering.tightening.stage import Stage, StageKind
from procedures_lib.engineering.tightening.stage_text import (
    join_stages,
    read_stage,
    read_stages,
)

__all__ = ["Stage", "StageKind", "join_stages", "read_stage", "read_stages"]
