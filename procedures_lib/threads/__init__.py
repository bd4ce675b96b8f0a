"""Screw threads: their designations after ISO 965-1 and ASME B1.1, and their dimensions."""

from procedures_lib.threads.designation import Thread, ThreadError, read_thread

__all__ = ["Thread", "ThreadError", "read_thread"]
