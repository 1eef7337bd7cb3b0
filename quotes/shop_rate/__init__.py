"""The shop rate, worked out from a year of the workshop."""
