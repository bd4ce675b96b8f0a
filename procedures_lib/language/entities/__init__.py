"""Typed entities: what the blocks of a page say, as frozen plain values."""
