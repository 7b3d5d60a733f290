"""Enter what was measured of a lot."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth import get_user_model
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction
from django.utils import timezone

from results.grading import FromRecord, assign_from_record, value_of_record
from results.issuing import record_assay
from results.management.reading import keeper_of, read_file, refusals_in_words
from results.policy.access import Actor
from results.policy.assay_boxes import BOXES, AssayKind
from results.policy.assay_tables import read_assay_table
from results.policy.assays import AssayRecord, read_assay
from results.policy.refusals import NotAdmitted
from results.policy.values import NewValue
from results.summaries.preparing.lots import lot_called
from results.summaries.rights import rights_of
from results.summaries.value_preview import value_preview


class Command(BaseCommand):
    """Enter replicate results of a lot: vial, and iron_percent or mass_g, titre_mL.

    Prints what they come to; --assign --by NAME gives the lot that value from now on.
    """

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course, the lot, the file and what all results share."""
        parser.add_argument("course")
        parser.add_argument("lot")
        parser.add_argument("file", help="CSV file with the results")
        parser.add_argument("--made-at", default="", help="as 2025-03-04T14:00; now")
        parser.add_argument("--note", default="")
        parser.add_argument("--titrant", default="", help="dichromate or cerium")
        names = {
            box.name: box
            for kind in (AssayKind.TITRATION, AssayKind.PERCENT)
            for box in BOXES[kind]
        }
        for name, box in names.items():
            option = f"--{name.replace('_', '-').lower()}"
            said = box.label.replace("%", "%%")
            parser.add_argument(option, dest=name, default="", help=said)
        parser.add_argument("--assign", action="store_true")
        parser.add_argument("--by", default="", help="account of a coordinator")

    def handle(self, *args: Any, **options: Any) -> None:
        """Enter all of the table or nothing."""
        code = options["course"]
        if options["assign"] and not options["by"]:
            message = "--assign wants --by: whose decision it is."
            raise CommandError(message)
        now = timezone.now()
        with refusals_in_words(), transaction.atomic():
            actor = _coordinator(options["by"]) if options["by"] else keeper_of(code)
            lot_id = lot_called(code, options["lot"], rights=actor.rights)
            record = _read(options)
            entered = record_assay(code, lot_id, record, actor=actor, now=now)
            wanted = FromRecord(lot_id, entered.assay_id, now)
            if options["assign"]:
                said = _assigned(code, wanted, options["note"], actor)
            else:
                said = _found(code, wanted, actor)
        self.stdout.write(f"{len(record.rows)} results entered. {said}")


def _found(code: str, wanted: FromRecord, actor: Actor) -> str:
    """Return what a record comes to, or why it comes to nothing."""
    try:
        value = value_of_record(code, wanted, rights=actor.rights)
    except NotAdmitted as refusal:
        return refusal.problems[0].message
    return f"{_in_print(value)}; not assigned."


def _assigned(code: str, wanted: FromRecord, note: str, actor: Actor) -> str:
    value = value_of_record(code, wanted, rights=actor.rights)
    preview = value_preview(code, value, rights=actor.rights)
    done = assign_from_record(
        code,
        wanted,
        reason=note or "assay entered by command",
        seen=preview.mark,
        actor=actor,
        now=wanted.valid_from,
    )
    return (
        f"{_in_print(value)}; assigned, {done.n_grades} grades follow or wait as "
        f"proposals, {done.n_submissions} submissions are computed anew."
    )


def _in_print(value: NewValue) -> str:
    u = f"standard uncertainty {value.u_iron_percent:g} %"
    return f"{value.iron_percent:g} % iron, {u}"


def _coordinator(name: str) -> Actor:
    user = get_user_model().objects.filter(username=name).first()
    if user is None:
        message = f"There is no account {name}."
        raise CommandError(message)
    return Actor(user.pk, name, rights_of(user.pk))


def _read(options: Mapping[str, Any]) -> AssayRecord:
    table = read_assay_table(read_file(options["file"]))
    if table.kind is None:
        raise CommandError("\n".join(str(problem) for problem in table.problems))
    typed = {name: str(value) for name, value in options.items()}
    typed["made_at"] = options["made_at"] or timezone.now().isoformat()
    zone = timezone.get_current_timezone()
    try:
        return read_assay(table.kind, typed, table.rows, zone=zone)
    except NotAdmitted as refusal:
        lines = []
        for problem in refusal.problems:
            place, *rest = problem.where[1:] or (None,)
            row = f"row {table.numbers[int(place)]}, " if place is not None else ""
            name = rest[0] if rest else problem.where[0]
            lines.append(f"{row}{name}: {problem.message}")
        raise CommandError("\n".join([*lines, "Nothing was entered."])) from refusal
