"""Quotes: drafted, edited, issued, accepted, revised; stock held for them."""
