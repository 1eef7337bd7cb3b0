"""Templates: stages, options, material lines, starters."""
