"""What the page of a course's staff shows besides the staff."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Self

from django.http import HttpRequest
from django.urls import reverse
from django.utils.safestring import SafeString

from frontend.printed_codes import square_code
from results.policy.refusals import NotAdmitted, Problem
from results.policy.staffing import Link


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed and pressed.

    Attributes
    ----------
    duty : str
        `course` to coordinate it, `section:` and a code to assist that section.
    """

    deed: str = "give"
    person: str = ""
    name: str = ""
    duty: str = ""

    @property
    def section(self) -> str:
        """Code of a section; empty for coordinating the course.

        Raises
        ------
        NotAdmitted
            No duty was chosen.
        """
        kind, _, section = self.duty.partition(":")
        if self.duty == "course" or (kind == "section" and section):
            return section
        message = "Choose what the person is to do."
        raise NotAdmitted([Problem(("duty",), message)])

    @classmethod
    def read(cls, form: Mapping[str, str]) -> Self:
        """Read it from a form; what is missing is empty."""
        return cls(
            deed=form.get("deed", "give"),
            person=form.get("person", ""),
            name=form.get("name", ""),
            duty=form.get("duty", ""),
        )


@dataclass(frozen=True, slots=True)
class MadeLink:
    """A link as it is shown: once."""

    username: str
    address: str
    square: SafeString
    expires_at: datetime


@dataclass(frozen=True, slots=True)
class StaffPage:
    """What came of pressing a button."""

    link: MadeLink | None = None
    typed: Typed = field(default_factory=Typed)
    problems: Sequence[str] = ()

    @property
    def status(self) -> int:
        """Status of the answer."""
        return 422 if self.problems else 200

    @property
    def in_form(self) -> Typed:
        """What stays in the form: what could not be done there."""
        is_of_form = self.problems and self.typed.deed in {"give", "invite"}
        return self.typed if is_of_form else Typed()


def made_link(request: HttpRequest, link: Link) -> MadeLink:
    """Return a link as it is shown."""
    path = reverse("welcome-link", args=[link.token])
    address = request.build_absolute_uri(path)
    return MadeLink(link.username, address, square_code(address), link.expires_at)
