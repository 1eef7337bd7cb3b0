"""Strings and fretwire: tension, string sets, sleeves, fret positions."""
