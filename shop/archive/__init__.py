"""Everything in the books as one file."""
