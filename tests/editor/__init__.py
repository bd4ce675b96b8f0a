"""Tests of the help inside an editor."""
