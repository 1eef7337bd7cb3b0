"""What the workshop's rooms share: form helpers, choices, drawing shapes."""
