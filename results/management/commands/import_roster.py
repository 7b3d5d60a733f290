"""Bring the people of a course to what a roster says."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from results.management.reading import keeper_of, read_file, refusals_in_words
from results.policy.roster.grid import Grid
from results.policy.roster.matching import Matching, Meaning, Outside, propose
from results.policy.roster.reading import read_file as read_grid
from results.policy.roster.refusals import NotARoster
from results.rosters import enrol_people
from results.summaries.preparing.rosters import RosterPreview, roster_preview


class Command(BaseCommand):
    """Bring the people of a course to what a CSV file or OneRoster bundle says."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course, the file, and how it is to be read."""
        parser.add_argument("course")
        parser.add_argument("file", help="CSV file, or OneRoster 1.2 bundle (zip)")
        parser.add_argument(
            "--columns",
            default="",
            help="what the columns are, such as name=Student,number=Id,section=Lab; "
            f"known are {', '.join(Meaning)}; left out: taken from the head",
        )
        parser.add_argument("--section", default="", help="the section of everybody")
        parser.add_argument(
            "--outside",
            choices=[one.value for one in Outside],
            default=Outside.REFUSE.value,
            help="what becomes of rows whose section the course does not have",
        )
        parser.add_argument(
            "--part", action="append", help="a course of a bundle that holds several"
        )
        parser.add_argument(
            "--whole", action="store_true", help="who is not in the file has left"
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="list what would change, no more"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """List every change, and carry them out unless told not to."""
        try:
            with refusals_in_words():
                self._import(options)
        except _Unread as unread:
            for problem in unread.refusal.problems:
                self.stderr.write(str(problem))
            raise CommandError(unread.refusal.sentence) from unread

    def _import(self, options: dict[str, Any]) -> None:
        actor, now = keeper_of(options["course"]), timezone.now()
        content = read_file(options["file"])
        try:
            grid = read_grid(content, today=timezone.localdate(now))
            matching = _matching(grid, options)
            preview = roster_preview(
                options["course"], grid, matching, rights=actor.rights
            )
        except NotARoster as refusal:
            raise _Unread(refusal) from refusal
        self._list(preview, grid)
        if options["dry_run"]:
            self.stdout.write("Nothing was changed.")
            return
        enrol_people(
            options["course"],
            grid,
            matching,
            seen=preview.mark,
            actor=actor,
            now=now,
        )
        self.stdout.write("Carried out.")

    def _list(self, preview: RosterPreview, grid: Grid) -> None:
        plan = preview.reading.plan
        self.stdout.write(f"Read as {grid.source}.")
        for line in (*grid.notes, *plan.doubts):
            self.stdout.write(f"Note: {line}")
        for line in plan.lines:
            self.stdout.write(line)
        self.stdout.write(
            f"{len(plan.new)} new, {len(plan.of('moves'))} change section, "
            f"{len(plan.of('leaves'))} leave, {plan.n_stay} stay as they are, "
            f"{len(preview.reading.repeated)} rows repeat another, "
            f"{preview.reading.n_left_out} left out."
        )


class _Unread(Exception):
    """A roster that cannot be read, on its way past the sentences of refusals."""

    def __init__(self, refusal: NotARoster) -> None:
        super().__init__(refusal.sentence)
        self.refusal = refusal


def _matching(grid: Grid, options: dict[str, Any]) -> Matching:
    columns = propose(grid.head)
    for pair in filter(None, options["columns"].split(",")):
        meaning, _, head = pair.partition("=")
        if meaning.strip() not in set(Meaning):
            message = f"{meaning}: known are {', '.join(Meaning)}."
            raise CommandError(message)
        columns[Meaning(meaning.strip())] = _column(grid, head.strip())
    if Meaning.NAME in columns and "name=" in options["columns"]:
        columns.pop(Meaning.GIVEN, None)
        columns.pop(Meaning.FAMILY, None)
    return Matching(
        columns=columns,
        section="" if Meaning.SECTION in columns else options["section"],
        outside=Outside(options["outside"]),
        parts=frozenset(options["part"] or ()) if grid.parts else None,
        whole=options["whole"],
    )


def _column(grid: Grid, head: str) -> int:
    found = [column for column, name in enumerate(grid.head) if name == head]
    if len(found) != 1:
        what = "no column" if not found else "more than one column"
        message = f"The file has {what} “{head}”; it has: {', '.join(grid.head)}."
        raise CommandError(message)
    return found[0]
