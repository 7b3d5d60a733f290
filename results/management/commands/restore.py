"""Restore the whole database."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from results.management.backup import restore
from results.management.engines import BackupRefused


class Command(BaseCommand):
    """Put a backup in the place of the database; stop the site and workers first."""

    help = __doc__
    # The database may be empty, or be of another version than this one.
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file, and whether courses may be lost."""
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--replace", action="store_true", help="lose the courses that are there"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Restore, compare, and say what is there now."""
        try:
            manifest = restore(
                options["file"], replace=options["replace"], told=self.stderr.write
            )
        except BackupRefused as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(
            f"Restored {sum(manifest.rows.values())} rows as of {manifest.made_at}; "
            "every table is as it was. Run migrate, then start the site."
        )
