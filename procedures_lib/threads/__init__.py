"""Screw threads: their designations after ISO 965-1 and ASME B1.1, and their dimensions."""

from procedures_lib.threads.designation import Thread, ThreadError, read_thread
from procedures_lib.threads.dimensions import ThreadDimensions, dimensions
from procedures_lib.threads.grades import GradeError
from procedures_lib.threads.strength import Strength, strength

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
