"""Promises that every address keeps, tried on all of them over the demo workshop."""
