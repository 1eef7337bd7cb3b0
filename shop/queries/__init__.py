"""Reads of the workshop that join or add up."""
