"""The open days of the workshop, and stages laid out over them."""
