"""What a form carries from one page to the next, so that nothing is stored meanwhile.

A file of people travels in the form itself, packed and signed for one person and one
course: nobody can change it on the way, and it is gone when the page is closed.
"""

from collections.abc import Iterable

from django.core import signing

from results.policy.roster.grid import Grid
from results.policy.roster.refusals import CannotRoster

_HOURS = 3600
_LASTS_S = 12 * _HOURS


def carry_grid(grid: Grid, *, user_id: int, course_code: str) -> str:
    """Return the rows of a file as a text for a hidden field."""
    return signing.dumps(
        grid.to_plain(), salt=_salt(user_id, course_code), compress=True
    )


def carried_grid(text: str, *, user_id: int, course_code: str) -> Grid:
    """Return the rows that a form brought back.

    Raises
    ------
    CannotRoster
        The form is old, or was made for somebody else or another course.
    """
    try:
        plain = signing.loads(text, salt=_salt(user_id, course_code), max_age=_LASTS_S)
    except signing.BadSignature as error:
        message = "The file is not at hand any more. Choose it again."
        raise CannotRoster(message) from error
    return Grid.from_plain(plain)


def carry_lines(lines: Iterable[str], *, user_id: int, course_code: str) -> str:
    """Return a list of changes as a text for a hidden field."""
    salt = f"lines {_salt(user_id, course_code)}"
    return signing.dumps(list(lines), salt=salt, compress=True)


def carried_lines(text: str, *, user_id: int, course_code: str) -> tuple[str, ...]:
    """Return the list that a form brought back; empty if it cannot be read."""
    salt = f"lines {_salt(user_id, course_code)}"
    try:
        return tuple(signing.loads(text, salt=salt, max_age=_LASTS_S))
    except signing.BadSignature:
        return ()


def _salt(user_id: int, course_code: str) -> str:
    return f"roster {user_id} {course_code}"
