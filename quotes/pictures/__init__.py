"""Pictures of the books, on the shapes of the workshop's."""
