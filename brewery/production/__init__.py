"""What the brewery does with its stock: brews, tanks, yeast, packaging runs, dispatch."""
