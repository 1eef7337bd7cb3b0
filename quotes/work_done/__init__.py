"""Work charged by time and materials: what it comes to, and its invoice."""
