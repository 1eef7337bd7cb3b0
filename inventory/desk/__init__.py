"""Pages and addresses that show several rooms: the stock list, a material, a lot, the journal."""
