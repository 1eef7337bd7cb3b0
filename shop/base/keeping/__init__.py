"""How papers, photos and answers are kept: whole and for good, or not at all."""
