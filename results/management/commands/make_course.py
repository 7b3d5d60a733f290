"""Make a course."""

from argparse import ArgumentTypeError
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from results.management.reading import refusals_in_words
from results.policy.course_codes import code_problem
from results.policy.moments import read_day
from results.rosters import Like, NewCourse, copy_course, make_course
from results.summaries.preparing.courses import CopyPlan


class Command(BaseCommand):
    """Make a course, or leave an existing one as it is; or make one like another."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course's code and title, and what it is to be like."""
        parser.add_argument("course", help="code of the course, such as iron-autumn")
        parser.add_argument("--title", default="", help="title for people")
        parser.add_argument("--term", default="", help="term, with --like")
        parser.add_argument(
            "--like",
            metavar="OTHER",
            help="take over protocol, stations, policies, grading scheme and sections",
        )
        parser.add_argument(
            "--starts", type=_day, help="first day of the term, with --like"
        )
        parser.add_argument(
            "--lots",
            action="store_true",
            help="lots with their values too, with --like",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Make it and say so."""
        code = options["course"]
        if problem := code_problem(code):
            message = f"{code!r}: {problem}"
            raise CommandError(message)
        if options["like"]:
            self._copy(options)
            return
        is_new = make_course(code, title=options["title"])
        self.stdout.write(f"Course {code} {'made' if is_new else 'is there already'}.")

    def _copy(self, options: dict[str, Any]) -> None:
        if options["starts"] is None:
            message = "Give the first day of the term: --starts 2026-09-07."
            raise CommandError(message)
        new = NewCourse(options["course"], options["title"], options["term"])
        like = Like(
            course=options["like"],
            starts=options["starts"],
            lots=options["lots"],
            seen=None,
            zone=timezone.get_current_timezone(),
        )
        with refusals_in_words():
            plan = copy_course(new, like=like, now=timezone.now())
        self.stdout.write(f"Course {new.code} made like {plan.like}: {_told(plan)}.")


def _told(plan: CopyPlan) -> str:
    told = [
        f"{len(plan.sections)} sections moved by {plan.weeks} weeks",
        f"{len(plan.stations)} stations",
        "its protocol" if plan.protocol_version else "no protocol",
        "its grading scheme" if plan.scheme_version else "no grading scheme",
    ]
    if plan.lots:
        told.append(f"{len(plan.lots)} lots")
    if plan.out_of_service:
        told.append(f"still out of service: {', '.join(plan.out_of_service)}")
    return ", ".join(told)


def _day(text: str) -> date:
    try:
        return read_day(text)
    except ValueError as error:
        message = f"{text!r} is no day; write it as 2026-09-07"
        raise ArgumentTypeError(message) from error
