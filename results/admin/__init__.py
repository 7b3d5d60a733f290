"""The administration, for the person who runs the server."""

from results.admin import course, submissions, unknowns, work

__all__ = ["course", "submissions", "unknowns", "work"]
