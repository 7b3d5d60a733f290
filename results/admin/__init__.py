"""The administration, for the person who runs the server."""

from results.admin import course, staff, submissions, unknowns, work

__all__ = ["course", "staff", "submissions", "unknowns", "work"]
