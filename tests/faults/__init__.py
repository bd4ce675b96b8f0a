"""Fault seeding: the clean demo with one mistake at a time, and whether the checks find it."""
