"""Take a duty."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from results.management.reading import refusals_in_words
from results.management.staff import add_duty_arguments
from results.policy.staffing import duty_in_words
from results.rosters.staff import keeper, take_duty


class Command(BaseCommand):
    """End what a person does in a course; somebody still has to coordinate it."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the person, the course and the duty."""
        add_duty_arguments(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        """Take it, or leave things as they are."""
        with refusals_in_words():
            had_it = take_duty(
                options["course"],
                options["username"],
                section=options["section"],
                actor=keeper(options["course"]),
                now=timezone.now(),
            )
        duty = duty_in_words(options["section"])
        words = f"no longer {duty}." if had_it else f"is not somebody who {duty}."
        self.stdout.write(f"{options['username']} {words}")
