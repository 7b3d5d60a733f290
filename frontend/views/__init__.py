"""Views: parse, ask once, answer."""
