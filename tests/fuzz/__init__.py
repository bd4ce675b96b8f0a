"""Fuzzing: odd input of every kind, in short here and for long by ``python -m tests.fuzz``."""
