"""Export answers."""

import csv
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from results.exports import ANSWER_COLUMNS, answer_rows
from results.management.reading import refusals_in_words


class Command(BaseCommand):
    """Write the answers of a course as CSV to standard output."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course."""
        parser.add_argument("course")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the table."""
        # Django's wrapper ends every write with a line end of its own.
        self.stdout.ending = ""
        writer = csv.DictWriter(self.stdout, ANSWER_COLUMNS, lineterminator="\n")
        writer.writeheader()
        with refusals_in_words():
            writer.writerows(answer_rows(options["course"]))
