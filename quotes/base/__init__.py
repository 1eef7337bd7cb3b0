"""What the rooms of quotes share: figures, checks, snapshots, locks, form fields."""
