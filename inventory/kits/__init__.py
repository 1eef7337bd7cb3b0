"""Stock made up of other stock: recipes, and making up."""
