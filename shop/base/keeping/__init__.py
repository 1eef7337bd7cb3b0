"""How papers and photos are kept: whole and for good, or not at all."""
