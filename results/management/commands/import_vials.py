"""Take vials into the book."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from results.issuing import import_vials
from results.management.reading import read_file, refusals_in_words


class Command(BaseCommand):
    """Import vials from a CSV table: vial, lot, iron_percent, u_iron_percent."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course and the file."""
        parser.add_argument("course")
        parser.add_argument("file", help="CSV file with the vials")

    def handle(self, *args: Any, **options: Any) -> None:
        """Import all of the table or nothing."""
        with refusals_in_words():
            report = import_vials(
                course_code=options["course"],
                text=read_file(options["file"]),
                now=timezone.now(),
            )
        if report.problems:
            lines = [str(problem) for problem in report.problems]
            message = "\n".join([*lines, "Nothing was imported."])
            raise CommandError(message)
        self.stdout.write(
            f"{report.n_vials} new vials, {report.n_lots} new lots, "
            f"{report.n_values} new assigned values."
        )
