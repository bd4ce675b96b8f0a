"""Drawn views of the demo's cars: what a technician sees where he works, with the points of each
named thing.
"""
