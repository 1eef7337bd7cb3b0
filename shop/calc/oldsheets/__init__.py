"""A maker's old sheets of hours: which column is what, which stage is meant, what can be read."""
