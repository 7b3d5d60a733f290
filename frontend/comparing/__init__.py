"""Comparisons as pages show them: sentences above, figures and tables below.

Every figure is a plain dictionary, so that a page of many levels is built in
milliseconds; tests hold each against the drawing library's own schema.
"""
