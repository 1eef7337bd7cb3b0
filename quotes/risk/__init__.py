"""What a price risks: the job run many times."""
