"""Text of a page to blocks, roles and prose, each with its line: the one reader."""
