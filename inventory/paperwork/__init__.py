"""Documents that go with wood, photos, and the sheet for customs."""
