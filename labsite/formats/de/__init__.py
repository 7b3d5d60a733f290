"""German: see the package."""
