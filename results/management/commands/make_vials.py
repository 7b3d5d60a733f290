"""Draw vials of a lot."""

import secrets
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.db import transaction

from results.issuing import draw_vials, make_lots
from results.management.reading import keeper_of, refusals_in_words
from results.models import Lot


class Command(BaseCommand):
    """Draw vials of a lot and print their labels; the lot is made if it is missing."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the course, the lot and how many."""
        parser.add_argument("course")
        parser.add_argument("lot")
        parser.add_argument("n", type=int, help="how many vials")

    def handle(self, *args: Any, **options: Any) -> None:
        """Draw all of them or none."""
        code = options["course"]
        with refusals_in_words(), transaction.atomic():
            keeper = keeper_of(code)
            lots = Lot.objects.filter(course__code=code, code=options["lot"])
            if not lots.exists():
                make_lots(code, options["lot"], actor=keeper)
            labels = draw_vials(
                code,
                lots.get().pk,
                options["n"],
                actor=keeper,
                draw_below=secrets.randbelow,
            )
        self.stdout.write("\n".join(labels))
