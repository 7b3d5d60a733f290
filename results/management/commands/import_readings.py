"""Import readings."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from results.intake import import_readings
from results.management.reading import read_file, refusals_in_words


class Command(BaseCommand):
    """Import a CSV table of readings, one reading a row."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course, the file and what to do about gaps and problems."""
        parser.add_argument("course")
        parser.add_argument("file", help="CSV file with the readings")
        parser.add_argument(
            "--create",
            action="store_true",
            help="make missing sections, groups and stations; issue the vials named",
        )
        parser.add_argument(
            "--keep-good",
            action="store_true",
            help="import the groups without problems even if others have some",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Import and report, row by row where something needs mending."""
        with refusals_in_words():
            report = import_readings(
                course_code=options["course"],
                text=read_file(options["file"]),
                create=options["create"],
                keep_good=options["keep_good"],
                now=timezone.now(),
            )
        for problem in report.problems:
            self.stderr.write(str(problem))
        if not report.imported:
            message = (
                "Nothing was imported. Mend the rows above, or import the other "
                "groups with --keep-good."
            )
            raise CommandError(message)
        self.stdout.write(
            f"{report.n_groups} groups with {report.n_readings} readings imported, "
            f"{report.n_unchanged} unchanged, {len(report.created)} places made."
        )
