"""Filters of the templates."""
