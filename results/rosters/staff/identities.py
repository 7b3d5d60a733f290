"""Who has signed in at the college, and which account here is theirs."""

from collections.abc import Collection
from datetime import datetime

from django.contrib.auth.models import User
from django.db import IntegrityError, transaction

from results.models import OutsideIdentity
from results.policy.staffing import LinkNotGood, Person, UnknownPerson
from results.rosters.staff.invitations import spend
from results.rosters.staff.links import find_link

_MOST_NAMESAKES = 100
_LONGEST_USERNAME = 150


def sign_on(
    person: Person,
    *,
    token: str = "",
    domains: Collection[str] = (),
    make_accounts: bool = False,
    now: datetime,
) -> User:
    """Return the account of a person who has signed in at the college.

    Issuer and subject name the person. Whoever is met for the first time is the
    person of the link that they came by; else of the one account with their
    address, if the college has made sure of it and its domain is let in; else they
    get an account of their own, if the site makes these.

    Parameters
    ----------
    token : str
        Of the link to set a password by which the person came, if any.
    domains : collection of str
        Domains of addresses that are let in, in small letters; none at all if empty.
    make_accounts : bool
        Whether the unknown get accounts. Where domains are named, only theirs do.

    Raises
    ------
    UnknownPerson
        No account is theirs, or it is closed.
    """
    try:
        with transaction.atomic():
            user = _known(person) or _link(
                person,
                _by_token(person, token, now=now)
                or _by_address(person, domains)
                or _new(person, domains, make_accounts=make_accounts),
                now=now,
            )
    except IntegrityError:
        # The same person was met twice at once; by now they are known.
        user = _known(person)
    if user is None or not user.is_active:
        raise UnknownPerson(person.username, person.email)
    return user


def _known(person: Person) -> User | None:
    identity = (
        OutsideIdentity.objects.select_related("user")
        .filter(issuer=person.issuer, subject=person.subject)
        .first()
    )
    return identity.user if identity else None


def _link(person: Person, user: User | None, *, now: datetime) -> User | None:
    if user is not None:
        OutsideIdentity.objects.create(
            user=user, issuer=person.issuer, subject=person.subject, linked_at=now
        )
    return user


def _by_token(person: Person, token: str, *, now: datetime) -> User | None:
    invitation = find_link(token, now=now) if token else None
    if invitation is None or _is_somebody(invitation.user, person):
        return None
    try:
        spend(invitation, now=now)
    except LinkNotGood:
        return None
    return invitation.user


def _by_address(person: Person, domains: Collection[str]) -> User | None:
    if not person.has_address_in(domains):
        return None
    # Whoever keeps the server is never found by an address: a link says so, or a
    # password does.
    found = list(
        User.objects.filter(
            email__iexact=person.email,
            is_active=True,
            is_staff=False,
            is_superuser=False,
        )[:2]
    )
    if len(found) != 1 or _is_somebody(found[0], person):
        return None
    return found[0]


def _is_somebody(user: User, person: Person) -> bool:
    return OutsideIdentity.objects.filter(user=user, issuer=person.issuer).exists()


def _new(
    person: Person, domains: Collection[str], *, make_accounts: bool
) -> User | None:
    if not make_accounts or (domains and not person.has_address_in(domains)):
        return None
    email = person.email if person.email_is_verified else ""
    name = person.name[:_LONGEST_USERNAME]
    return User.objects.create_user(_free_name(person), email, first_name=name)


def _free_name(person: Person) -> str:
    """Return a user name that nobody has: a namesake's account is not theirs."""
    asked = person.username.strip()[: _LONGEST_USERNAME - 4] or "somebody"
    named = (asked, *(f"{asked}-{n}" for n in range(2, _MOST_NAMESAKES)))
    taken = {
        name.casefold()
        for name in User.objects.filter(username__istartswith=asked).values_list(
            "username", flat=True
        )
    }
    for name in named:
        if name.casefold() not in taken:
            return name
    raise UnknownPerson(person.username, person.email)
