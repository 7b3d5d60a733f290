"""Export a course as a Data Package."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from results.exports import course_package
from results.management.reading import refusals_in_words


class Command(BaseCommand):
    """Write a course as a zip archive of tables with their description."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course and the file."""
        parser.add_argument("course")
        parser.add_argument("file")
        parser.add_argument(
            "--names", action="store_true", help="name students and staff too"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the archive."""
        with refusals_in_words():
            content = course_package(
                options["course"], names=options["names"], now=timezone.now()
            )
        try:
            Path(options["file"]).write_bytes(content)
        except OSError as error:
            message = f"{options['file']} cannot be written: {error.strerror}."
            raise CommandError(message) from error
