"""Each view parses, makes one call, and answers."""
