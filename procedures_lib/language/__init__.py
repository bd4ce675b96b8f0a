"""The page language: text to blocks, blocks to typed entities, conditions to sets of cars."""
