"""The clock and time entries: recorded, corrected, shared, added up."""
