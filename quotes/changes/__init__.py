"""Change orders: offered, priced, agreed after acceptance."""
