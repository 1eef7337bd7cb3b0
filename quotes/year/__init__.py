"""A year of the accounts."""
