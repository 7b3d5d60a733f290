"""Put everybody without a group into one."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from results.management.reading import keeper_of, refusals_in_words
from results.policy.access import Rights
from results.policy.roster.filling import SIZES, Odd, Order, Wish
from results.rosters import fill_groups
from results.summaries.preparing.groups import course_groups, filling_preview


class Command(BaseCommand):
    """Put everybody of a course, or of one section, who has no group into one."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course and how groups are to be filled."""
        parser.add_argument("course")
        parser.add_argument("--section", help="code of one section; all otherwise")
        parser.add_argument("--size", type=int, choices=SIZES, default=2)
        parser.add_argument(
            "--order", choices=[one.value for one in Order], help="by name otherwise"
        )
        parser.add_argument(
            "--odd", choices=[one.value for one in Odd], default=Odd.LARGER.value
        )
        parser.add_argument(
            "--seed", type=int, help="at random; the same seed, the same groups"
        )
        parser.add_argument(
            "--anew",
            action="store_true",
            help="make all groups anew, where nobody has sent anything",
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="list the groups, no more"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """List the groups, and make them unless told not to."""
        order = options["order"] or ("name" if options["seed"] is None else "random")
        wish = Wish(
            size=options["size"],
            order=Order(order),
            odd=Odd(options["odd"]),
            seed=options["seed"] or 0,
            anew=options["anew"],
        )
        with refusals_in_words():
            actor = keeper_of(options["course"])
            section_id = _section_id(options, actor.rights)
            preview = filling_preview(
                options["course"], wish, rights=actor.rights, section_id=section_id
            )
            for filling in preview.fillings:
                for line in filter(None, (filling.refused, *filling.warnings)):
                    self.stdout.write(f"Note: {line}")
                for group in filling.groups:
                    names = ", ".join(seat.name for seat in group.members) or "empty"
                    self.stdout.write(f"{filling.section}, group {group.code}: {names}")
            if options["dry_run"]:
                self.stdout.write("Nothing was changed.")
                return
            fill_groups(
                options["course"],
                wish,
                section_id=section_id,
                seen=preview.mark,
                actor=actor,
                now=timezone.now(),
            )
        self.stdout.write(f"{preview.n_groups} groups filled.")


def _section_id(options: dict[str, Any], rights: Rights) -> int | None:
    if options["section"] is None:
        return None
    found = course_groups(options["course"], rights=rights)
    for one in found.sections:
        if one.section == options["section"]:
            return one.section_id
    message = f"The course has no section {options['section']}."
    raise CommandError(message)
