"""One search over every kind of row, kept up to date by triggers."""
