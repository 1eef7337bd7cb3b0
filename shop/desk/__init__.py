"""What every page passes through and shows, the page of the day, the first run."""
