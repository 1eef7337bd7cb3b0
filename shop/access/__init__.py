"""Who may come in: people, passwords, sessions, and the log of all that."""
