"""Recompute a course."""

import time
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone
from tqdm import tqdm

from results.management.reading import refusals_in_words
from results.recompute import common_now
from results.rosters.recomputing import (
    ask_for_course,
    compare_course,
    parked_in_course,
    refit_course,
    work_off_now,
)


class Command(BaseCommand):
    """Ask for the recompute of a course's current submissions."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course, and whether to work here and now."""
        parser.add_argument("course")
        parser.add_argument(
            "--wait",
            action="store_true",
            help="work off all pending work in this process, with a progress bar",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Queue the submissions; with --wait, compute them."""
        course = options["course"]
        with refusals_in_words():
            asked = ask_for_course(course, now=timezone.now(), wake=not options["wait"])
        self.stdout.write(f"{asked} submissions are to be computed.")
        if not options["wait"]:
            return
        self._work_off(asked, "computing")
        # What the class knows about itself is fitted to these answers, and bears on
        # each of them.
        self._work_off(refit_course(course, now=timezone.now()), "fitting the class")
        compare_course(course, now=timezone.now())
        parked = parked_in_course(course)
        self.stdout.write(f"Done; {parked} set aside with an error.")

    def _work_off(self, count: int, what: str) -> None:
        with tqdm(total=count, desc=what, unit="submission", file=self.stderr) as bar:
            work_off_now(clock=common_now, told=bar.update, pause=time.sleep)
