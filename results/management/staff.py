"""What the commands for staff share: the address of a link, words for a duty."""

from django.conf import settings
from django.core.management.base import CommandParser
from django.urls import reverse

from results.policy.staffing import Link


def add_duty_arguments(parser: CommandParser) -> None:
    """Take a person, a course and what the person does in it."""
    parser.add_argument("username", help="user name or e-mail address")
    parser.add_argument("course", help="code of the course")
    duty = parser.add_mutually_exclusive_group(required=True)
    duty.add_argument("--section", default="", help="code of the section to assist")
    duty.add_argument(
        "--coordinator", action="store_true", help="coordinates the course"
    )


def link_address(link: Link) -> str:
    """Return the address of a link; only its path if the site's name is not known."""
    path = reverse("welcome-link", args=[link.token])
    name = next((one for one in settings.ALLOWED_HOSTS if one.strip("*.")), "")
    scheme = "https" if settings.SECURE_SSL_REDIRECT else "http"
    return f"{scheme}://{name}{path}" if name and not settings.DEBUG else path
