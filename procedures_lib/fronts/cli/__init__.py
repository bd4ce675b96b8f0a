"""The command line: a thin front end that finds the manual, calls the library and prints."""

from procedures_lib.fronts.cli.program import main

__all__ = ["main"]
