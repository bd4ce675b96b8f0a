"""Tests of the safe rewrites."""
