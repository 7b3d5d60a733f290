"""Make an account of staff."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.db import transaction
from django.utils import timezone

from results.management.reading import refusals_in_words
from results.management.staff import link_address
from results.policy.staffing import Link
from results.rosters.staff import change_account, make_link
from results.rosters.staff.accounts import set_password


class Command(BaseCommand):
    """Make an account for a member of staff, or bring an existing one up to date.

    A password comes from standard input, never from the command line, which others
    on the machine can read.
    """

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the name, and how the person comes to a password."""
        parser.add_argument("username", help="what the person signs in with")
        parser.add_argument("--email", default="", help="e-mail address")
        parser.add_argument("--name", default="", help="name for people")
        way = parser.add_mutually_exclusive_group()
        way.add_argument(
            "--password-from-stdin",
            action="store_true",
            help="read the first line of standard input as the password",
        )
        way.add_argument(
            "--invite",
            action="store_true",
            help="print a link, good once, with which the person sets a password",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Make it, and say what became of it."""
        name = options["username"].strip()
        with refusals_in_words(), transaction.atomic():
            done = change_account(name, email=options["email"], name=options["name"])
            if options["password_from_stdin"]:
                set_password(done.user, sys.stdin.readline().rstrip("\r\n"))
            link = make_link(name, now=timezone.now()) if options["invite"] else None
        is_there = "made" if done.created else "is there already"
        self.stdout.write(f"Account {name} {is_there}.")
        if link is not None:
            self.stdout.write(f"Hand this link over; it is good until {_day(link)}:")
            self.stdout.write(link_address(link))


def _day(link: Link) -> str:
    return f"{timezone.localtime(link.expires_at):%Y-%m-%d %H:%M}"
