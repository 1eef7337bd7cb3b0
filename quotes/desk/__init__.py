"""Pages that show several rooms: clients, a commission, who owes what, today."""
