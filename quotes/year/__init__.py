"""A year of the books."""
