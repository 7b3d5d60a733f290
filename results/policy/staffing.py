"""Who works in a course: what is noted of it, and what is refused."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from results.policy.refusals import Refusal

#: How long a link with which a person sets a password is good for.
LINK_LIFE = timedelta(days=7)


class Deed(StrEnum):
    """What is noted in the history of a course's staff."""

    GIVEN = "given"
    TAKEN = "taken"
    LINK_MADE = "link_made"
    LINK_WITHDRAWN = "link_withdrawn"
    LINK_USED = "link_used"

    @property
    def label(self) -> str:
        """The deed in words."""
        return {
            Deed.GIVEN: "duty given",
            Deed.TAKEN: "duty taken",
            Deed.LINK_MADE: "link made",
            Deed.LINK_WITHDRAWN: "link withdrawn",
            Deed.LINK_USED: "link used",
        }[self]


def duty_in_words(section: str) -> str:
    """Return a duty in words: of a section, or of the whole course.

    Examples
    --------
    >>> duty_in_words("A1"), duty_in_words("")
    ('assists section A1', 'coordinates the course')
    """
    return f"assists section {section}" if section else "coordinates the course"


def deed_in_words(deed: Deed, *, person: str, by: str, section: str) -> str:
    """Return one line of a course's history of staff.

    Examples
    --------
    >>> deed_in_words(Deed.TAKEN, person="ben", by="ada", section="A1")
    'ada: ben no longer assists section A1'
    """
    duty = duty_in_words(section)
    return {
        Deed.GIVEN: f"{by}: {person} {duty}",
        Deed.TAKEN: f"{by}: {person} no longer {duty}",
        Deed.LINK_MADE: f"{by}: made a link with which {person} sets a password",
        Deed.LINK_WITHDRAWN: f"{by}: withdrew the link of {person}",
        Deed.LINK_USED: f"{person} used the link",
    }[deed]


@dataclass(frozen=True, slots=True)
class Account:
    """What decides whether a coordinator may give a person a link.

    Attributes
    ----------
    is_keeper : bool
        Whether the person may open the administration.
    is_linked : bool
        Whether the person signs in at the college.
    works_elsewhere : bool
        Whether the person has a duty in a course that the coordinator does not
        coordinate.
    """

    user_id: int
    is_active: bool
    is_keeper: bool
    is_linked: bool
    works_elsewhere: bool


def why_no_link(account: Account, *, asked_by: int) -> str:
    """Return why a coordinator gives a person no link; nothing if they may.

    A link sets the password, so who has it can be that person. What a coordinator
    could reach so must not be more than the coordinator has.
    """
    if account.user_id == asked_by:
        return "Change your own password on your own page."
    if not account.is_active:
        return "This account is closed. Ask whoever keeps the server."
    if account.is_linked:
        return "This person signs in at the college and needs no password here."
    if account.is_keeper or account.works_elsewhere:
        return (
            "This person has other duties than yours to give. Whoever keeps the "
            "server can make a link with make_staff."
        )
    return ""


def left_without_coordinator(coordinators: Collection[int], leaving: int) -> bool:
    """Whether a course has nobody to coordinate it once one person leaves."""
    return not set(coordinators) - {leaving}


class LastCoordinator(Refusal):
    """A course would be left without anybody to coordinate it."""

    code = "last-coordinator"

    def __init__(self, course: str) -> None:
        super().__init__(
            f"Course {course} would be left without a coordinator. Give the duty to "
            "somebody else first."
        )


class NoSuchPerson(Refusal):
    """Nobody has an account under a name."""

    code = "no-such-person"

    def __init__(self, typed: str) -> None:
        super().__init__(
            f"There is no account {typed}. Look at the spelling, or invite the person."
        )


class SeveralPeople(Refusal):
    """Several accounts share an e-mail address."""

    code = "several-people"

    def __init__(self, typed: str) -> None:
        super().__init__(
            f"Several accounts have the address {typed}. Give the user name instead."
        )


class AccountExists(Refusal):
    """Somebody has an account already who was to be invited."""

    code = "account-exists"

    def __init__(self, username: str) -> None:
        super().__init__(f"{username} has an account already. Give the duty instead.")


class NoLink(Refusal):
    """A person is to get no link from a coordinator."""

    code = "no-link"


class LinkNotGood(Refusal):
    """A link to set a password is used up, withdrawn, too old or misspelt."""

    code = "link-not-good"

    def __init__(self) -> None:
        super().__init__(
            "This link is used up, withdrawn or too old. Ask the coordinator of your "
            "course for a new one."
        )


class UnknownPerson(Refusal):
    """Somebody signed in at the college whom nobody has let in here."""

    code = "unknown-person"

    def __init__(self, username: str, email: str) -> None:
        self.username = username
        self.email = email
        super().__init__("Nobody has given you a duty here.")


@dataclass(frozen=True, slots=True)
class Person:
    """What a college says of a person who has signed in there.

    Attributes
    ----------
    issuer, subject : str
        Name the person for good: no other pair does.
    email_is_verified : bool
        Whether the college has made sure that the address is the person's.
    """

    issuer: str
    subject: str
    username: str
    name: str
    email: str
    email_is_verified: bool

    def has_address_in(self, domains: Collection[str]) -> bool:
        """Whether the address is made sure of, and in one of the domains."""
        domain = self.email.rpartition("@")[2].casefold()
        return self.email_is_verified and bool(domain) and domain in domains


@dataclass(frozen=True, slots=True)
class Link:
    """A link that was made: the one time that its token is known."""

    token: str
    username: str
    expires_at: datetime
