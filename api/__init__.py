"""REST for programs: thin doors to actions and summaries."""
