"""Wood and water: species, weighing, drying, movement, moisture meters."""
