"""Run the invented course on this machine."""

import os
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from results.management import processes, seeding

_START_WITHIN_S = 30.0


class Command(BaseCommand):
    """Seed the invented course once; run web server, worker and scheduler."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the address to listen on."""
        parser.add_argument("--host", default=os.environ.get("HOST", "127.0.0.1"))
        parser.add_argument(
            "--port", type=int, default=int(os.environ.get("PORT", "8000"))
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Prepare, start, say how to sign in, and wait for Ctrl-C."""
        host, port = options["host"], options["port"]
        if not processes.is_free(host, port):
            message = (
                f"Port {port} is in use. Stop what runs there, or choose another: "
                "make demo PORT=8010"
            )
            raise CommandError(message)
        call_command("migrate", verbosity=0)
        sign_in = seeding.seed_invented_course(now=timezone.now())
        processes.stop_on_signals()
        commands = {
            "web server": processes.web_command(host, port),
            "worker": processes.worker_command(),
            "scheduler": processes.scheduler_command(
                Path(settings.CELERY_BEAT_SCHEDULE_FILENAME).parent
            ),
        }
        try:
            with processes.running(commands) as children:
                processes.wait_until(
                    lambda: processes.answers(host, port), within_s=_START_WITHIN_S
                )
                self._welcome(f"http://{host}:{port}/", sign_in)
                ended = processes.first_to_end(children)
        except processes.StopAsked:
            self.stdout.write("\nStopped.")
            return
        message = f"The {ended.name} ended by itself; the others were stopped."
        raise CommandError(message)

    def _welcome(self, address: str, sign_in: seeding.SignIn) -> None:
        state = "Entered" if sign_in.is_new_course else "Found"
        self.stdout.write(
            f"""
{state} the invented course. Benchwide runs at

    {address}

  student      slip code {sign_in.slip_code}  \
(section {sign_in.section}, group {sign_in.group})
  assistant    {address}staff/   {seeding.ASSISTANT} / {seeding.PASSWORD}
  coordinator  {address}staff/   {seeding.COORDINATOR} / {seeding.PASSWORD}
  keeper       {address}admin/   {seeding.KEEPER} / {seeding.PASSWORD}
  programs     {address}api/v1/docs/

Ctrl-C stops it. make demo-reset starts over.
"""
        )
