"""Drawings as SVG text, made from plain values."""
