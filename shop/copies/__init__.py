"""Copies of the books that make themselves, are recounted, and are read back in."""
