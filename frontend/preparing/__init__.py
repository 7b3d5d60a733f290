"""How the pages that prepare a course are laid out."""
