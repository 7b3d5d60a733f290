"""Issue vials to groups by a plan."""

import secrets
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from results.issuing import IssuePlan, issue_by_plan, preview_plan
from results.management.reading import refusals_in_words
from results.models import Course
from results.models.courses import find_course
from results.policy.access import Actor, Rights
from results.policy.issuing import MOST_SEED, IssuingWish, read_wish


class Command(BaseCommand):
    """Issue vials to groups that have none, neighbours and former lots apart."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course, its sections, and the dice."""
        parser.add_argument("course")
        parser.add_argument(
            "--section", nargs="+", default=[], help="only these; all if none is named"
        )
        parser.add_argument(
            "--seed", type=int, help="the same seed gives the same plan; drawn if none"
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="say what would be issued"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the plan and carry it out."""
        seed = options["seed"]
        with refusals_in_words():
            course = find_course(options["course"])
            wish = read_wish(
                {"seed": str(secrets.randbelow(MOST_SEED) if seed is None else seed)},
                sections=_sections(course, options["section"]),
            )
            # Who may run commands may do what coordinators may.
            actor = Actor(0, "issue_vials", Rights(frozenset({course.pk})))
            now = timezone.now()
            plan = preview_plan(course.code, wish, rights=actor.rights, now=now)
            if plan.impossible:
                message = "\n".join([*plan.impossible, "Nothing was issued."])
                raise CommandError(message)
            self._say(plan, wish)
            if options["dry_run"]:
                self.stdout.write("Nothing was issued: this was a dry run.")
                return
            done = issue_by_plan(
                course.code, wish, seen=plan.mark, actor=actor, now=now
            )
        self.stdout.write(f"{done.n_vials} vials issued with seed {wish.seed}.")

    def _say(self, plan: IssuePlan, wish: IssuingWish) -> None:
        for row in plan.issued:
            self.stdout.write(
                f"{row.section}\t{row.group}\t{row.vial}\t{row.lot}\t{row.station}"
            )
        for line in (*plan.notes, *plan.cannot_tell, *plan.power_told):
            self.stdout.write(line)
        self.stdout.write(f"{plan.conflicts} neighbours share a lot; seed {wish.seed}.")


def _sections(course: Course, codes: list[str]) -> list[int]:
    known = dict(course.sections.values_list("code", "pk"))
    unknown = [code for code in codes if code not in known]
    if unknown:
        message = f"Course {course.code} has no section {', '.join(unknown)}."
        raise CommandError(message)
    return [known[code] for code in codes or known]
