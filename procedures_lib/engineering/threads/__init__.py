"""Screw threads: their designations after ISO 965-1 and ASME B1.1, and their dimensions."""

from procedures_lib.engineering.threads.bolt_grades import GradeError, Strength, strength
from procedures_lib.engineering.threads.designation import Thread, ThreadError, read_thread
from procedures_lib.engineering.threads.dimensions import ThreadDimensions, dimensions

__all__ = [
    "GradeError",
    "Strength",
    "Thread",
    "ThreadDimensions",
    "ThreadError",
    "dimensions",
    "read_thread",
    "strength",
]
