"""Benchmarks, run by hand: ratios against a baseline in the same run, never asserted."""
