"""Records of the work: what a procedure asks to be written down, and whether a record has it."""
