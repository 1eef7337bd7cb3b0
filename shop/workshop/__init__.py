"""The workshop's details, its people and how each sees units."""
