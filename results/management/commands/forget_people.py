"""Erase personal data of a course."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from results.management.reading import refusals_in_words
from results.rosters import forget_people, forget_student


class Command(BaseCommand):
    """Erase names, numbers, slips and free texts; keep anonymous results."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course, and who."""
        parser.add_argument("course")
        parser.add_argument("--student", help="one person: number or name")
        parser.add_argument(
            "--everybody", action="store_true", help="all people of the course"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Erase, and say how much; this cannot be undone."""
        student, everybody = options["student"], options["everybody"]
        if bool(student) == everybody:
            message = "Say whom: --student NUMBER, or --everybody."
            raise CommandError(message)
        with refusals_in_words():
            done = (
                forget_student(options["course"], student)
                if student
                else forget_people(options["course"])
            )
        self.stdout.write(
            f"Erased {done.n_students} people and {done.n_texts} texts. Backups made "
            "before still hold them."
        )
