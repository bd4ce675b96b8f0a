"""Tests of the records of the work."""
