"""Make a course."""

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.validators import validate_slug

from results.rosters import make_course


class Command(BaseCommand):
    """Make a course, or leave an existing one as it is."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course's code and title."""
        parser.add_argument("course", help="code of the course, such as iron-autumn")
        parser.add_argument("--title", default="", help="title for people")

    def handle(self, *args: Any, **options: Any) -> None:
        """Make it and say so."""
        code = options["course"]
        try:
            validate_slug(code)
        except ValidationError as error:
            message = f"{code!r}: use letters, digits, hyphens and underscores only."
            raise CommandError(message) from error
        is_new = make_course(code, title=options["title"])
        self.stdout.write(f"Course {code} {'made' if is_new else 'is there already'}.")
