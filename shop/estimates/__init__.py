"""Hours of the next build from past ones, and how good such estimates have been."""
