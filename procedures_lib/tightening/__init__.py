"""Tightening: the stages of a joint, as plain values without files or pages."""

from procedures_lib.tightening.stage import Stage, StageError, StageKind, read_stage, read_stages

__all__ = ["Stage", "StageError", "StageKind", "read_stage", "read_stages"]
