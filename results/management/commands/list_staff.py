"""List the staff of a course."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from results.management.reading import refusals_in_words
from results.rosters.staff import keeper
from results.summaries.preparing.staff import Colleague, course_staff


class Command(BaseCommand):
    """List who coordinates a course and who assists which section, tab by tab."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course."""
        parser.add_argument("course", help="code of the course")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print a line for each duty: user name, name, duty, section, way in."""
        code = options["course"]
        with refusals_in_words():
            staff = course_staff(code, actor=keeper(code), now=timezone.now())
        for one in staff.people:
            if one.coordinates:
                self._line(one, "coordinator", "")
            for section in one.sections:
                self._line(one, "assistant", section)
        if not staff.people:
            self.stderr.write(f"Nobody works in {code} yet.")

    def _line(self, one: Colleague, role: str, section: str) -> None:
        cells = (one.username, one.name, role, section, _way_in(one))
        self.stdout.write("\t".join(cells))


def _way_in(one: Colleague) -> str:
    if one.is_closed:
        return "closed"
    if one.is_linked:
        return "college"
    if one.has_password:
        return "password"
    return "link" if one.link_until else "none"
