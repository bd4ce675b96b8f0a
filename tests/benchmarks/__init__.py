"""Benchmarks, run by hand: ratios against a baseline in the same run, never asserted.

Each module that is started by its name says in ``SMALLEST`` with which words its smallest runs
start. The tests start those, so that no benchmark stops working unseen.
"""
