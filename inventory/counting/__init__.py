"""Counting a shelf, and booking the differences."""
