"""Pages for people: thin doors to actions and summaries."""
