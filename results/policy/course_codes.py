"""Codes of courses: they stand in addresses, and are typed into commands."""

import re

_CODE = re.compile(r"[-a-zA-Z0-9_]+")
_LONGEST = 40
#: The page that makes a course has this place among the addresses of courses.
RESERVED = frozenset({"new"})


def code_problem(code: str) -> str:
    """Return what keeps a text from being a course's code; empty if nothing does.

    Examples
    --------
    >>> code_problem("iron-autumn"), code_problem("new")
    ('', 'A course cannot be called “new”: that is the page for new courses.')
    """
    if not _CODE.fullmatch(code):
        return "Use letters, digits, hyphens and underscores only, as in iron-autumn."
    if len(code) > _LONGEST:
        return f"Shorten the code to {_LONGEST} signs."
    if code.lower() in RESERVED:
        return f"A course cannot be called “{code}”: that is the page for new courses."
    return ""
