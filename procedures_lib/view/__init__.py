"""Tables and lists of a procedure, as values that the front ends render."""
