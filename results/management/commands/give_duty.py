"""Give a duty."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from results.management.reading import refusals_in_words
from results.management.staff import add_duty_arguments
from results.policy.staffing import duty_in_words
from results.rosters.staff import give_duty, keeper


class Command(BaseCommand):
    """Let a person coordinate a course, or assist a section of it."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the person, the course and the duty."""
        add_duty_arguments(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        """Give it, or leave it as it is."""
        with refusals_in_words():
            is_new = give_duty(
                options["course"],
                options["username"],
                section=options["section"],
                actor=keeper(options["course"]),
                now=timezone.now(),
            )
        duty = f"{options['username']} {duty_in_words(options['section'])}"
        self.stdout.write(f"{duty} now." if is_new else f"{duty} already.")
