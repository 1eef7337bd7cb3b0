"""A maker's old sheets of hours, read and loaded."""
