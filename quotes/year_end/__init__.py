"""The year end: stock, work in progress and what is owed, as of a 31 December."""
