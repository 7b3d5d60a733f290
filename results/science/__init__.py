"""Arrays in, arrays out: the chemistry and statistics, knowing no framework."""
