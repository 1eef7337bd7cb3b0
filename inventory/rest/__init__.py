"""What every end point of the API shares: problems, pages, roles, versions, asking once."""
