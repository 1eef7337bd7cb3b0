"""Cutting plans, and booking what came out of a cut."""
