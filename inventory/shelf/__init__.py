"""What lies on the shelf: materials, lots and pieces, drawn, returned, scrapped, sold."""
