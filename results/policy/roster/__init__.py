"""Rosters: how files of people are read, and what one changes; no framework."""
