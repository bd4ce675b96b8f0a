"""Tests of the dyno."""
