"""Reads of stock that join or add up, each named for its answer."""
