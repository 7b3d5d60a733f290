"""A whole course as a Data Package (version 2 of the open standard)."""

from results.exports.package.archive import course_package

__all__ = ["course_package"]
