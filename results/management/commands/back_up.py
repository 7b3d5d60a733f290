"""Back the whole database up."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from results.management.backup import back_up
from results.management.engines import BackupRefused


class Command(BaseCommand):
    """Write one archive with everything; the site may go on meanwhile."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file."""
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the archive and say what is in it."""
        try:
            manifest = back_up(options["file"], now=timezone.now())
        except BackupRefused as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(
            f"{sum(manifest.rows.values())} rows of {len(manifest.rows)} tables, as of "
            f"{manifest.made_at}. Keep SECRET_KEY as well, and elsewhere."
        )
