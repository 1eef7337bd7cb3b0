"""The workshop's details, and how each sees units."""
