"""Adopt a protocol for a course."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from results.management.reading import read_file, refusals_in_words
from results.rosters import adopt_protocol


class Command(BaseCommand):
    """Adopt a protocol from a JSON file; a changed one becomes the next version."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course and the file."""
        parser.add_argument("course")
        parser.add_argument("file", help="JSON file with the scheme")
        parser.add_argument("--title", default="")

    def handle(self, *args: Any, **options: Any) -> None:
        """Adopt it and say under which version."""
        document = self._read(options["file"])
        with refusals_in_words():
            adopted = adopt_protocol(
                options["course"],
                document,
                title=options["title"],
                now=timezone.now(),
            )
        state = "adopted" if adopted.created else "is in force already"
        self.stdout.write(f"Protocol version {adopted.version} {state}.")

    def _read(self, name: str) -> dict[str, Any]:
        try:
            document = json.loads(read_file(name))
        except ValueError as error:
            message = f"{name} is not JSON: {error}."
            raise CommandError(message) from error
        except RecursionError as error:
            message = f"{name} is nested too deeply."
            raise CommandError(message) from error
        if not isinstance(document, dict):
            message = f"{name} must hold one JSON object, the scheme."
            raise CommandError(message)
        return document
