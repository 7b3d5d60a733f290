"""Accounts of staff: finding one by what was typed, making one, its password."""

from dataclasses import dataclass

from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import IntegrityError, transaction

from results.policy.refusals import NotAdmitted, Problem
from results.policy.staffing import AccountExists, NoSuchPerson, SeveralPeople

_LONGEST_NAME = 150


@dataclass(frozen=True, slots=True)
class Changed:
    """An account after it was asked for; `created` is false if it was there."""

    user: User
    created: bool


def find_person(typed: str) -> User:
    """Return the account that was meant by a user name or an e-mail address.

    Raises
    ------
    NoSuchPerson
        There is none.
    SeveralPeople
        Several accounts have this address.
    """
    text = _cleaned(typed)
    named = User.objects.filter(username=text).first()
    if named is not None:
        return named
    found = list(User.objects.filter(username__iexact=text)[:2])
    if not found and "@" in text:
        found = list(User.objects.filter(email__iexact=text)[:2])
    if not found:
        raise NoSuchPerson(text or "without a name")
    if len(found) > 1:
        raise SeveralPeople(text)
    return found[0]


def make_account(username: str, *, email: str = "", name: str = "") -> User:
    """Make an account that has no password yet.

    Parameters
    ----------
    username : str
        What the person signs in with; an e-mail address is one too.

    Raises
    ------
    NotAdmitted
        The user name, the address or the name cannot be used.
    AccountExists
        Somebody has this user name, in small letters or capitals, or this address.
    """
    typed = _cleaned(username)
    if "@" in typed:
        typed = typed.casefold()
    address = (_cleaned(email) or (typed if "@" in typed else "")).casefold()
    shown = _cleaned(name)
    problems = _problems(typed, address, shown)
    if problems:
        raise NotAdmitted(problems)
    taken = User.objects.filter(username__iexact=typed)
    if address:
        taken |= User.objects.filter(email__iexact=address)
    other = taken.first()
    if other is not None:
        raise AccountExists(other.username)
    try:
        with transaction.atomic():
            return User.objects.create_user(typed, address, first_name=shown)
    except IntegrityError as error:
        # Somebody else was quicker by a moment.
        raise AccountExists(typed) from error


def change_account(username: str, *, email: str = "", name: str = "") -> Changed:
    """Make an account, or bring an existing one's address and name up to date.

    What is not given stays as it is.

    Raises
    ------
    NotAdmitted
        The user name, the address or the name cannot be used.
    AccountExists
        Another account differs in capitals only, or has the address.
    """
    user = User.objects.filter(username=_cleaned(username)).first()
    if user is None:
        return Changed(make_account(username, email=email, name=name), created=True)
    address, shown = _cleaned(email).casefold(), _cleaned(name)
    problems = _problems(user.username, address, shown)
    if problems:
        raise NotAdmitted(problems)
    others = User.objects.exclude(pk=user.pk).filter(email__iexact=address)
    other = others.first() if address else None
    if other is not None:
        raise AccountExists(other.username)
    user.email, user.first_name = address or user.email, shown or user.first_name
    user.save(update_fields=["email", "first_name"])
    return Changed(user, created=False)


def set_password(user: User, password: str) -> None:
    """Give an account a password; sessions and tokens of the former one end.

    Raises
    ------
    NotAdmitted
        The password is too easy to guess; every reason is named.
    """
    try:
        validate_password(password, user)
    except ValidationError as error:
        problems = [Problem(("password",), one) for one in error.messages]
        raise NotAdmitted(problems) from error
    user.set_password(password)
    user.save(update_fields=["password"])


def _cleaned(typed: str) -> str:
    # No database keeps a NUL in a text.
    return typed.replace("\x00", "").strip()


def _problems(username: str, email: str, name: str) -> list[Problem]:
    problems = []
    try:
        User.username_validator(username)
    except ValidationError:
        message = (
            "Give a user name of letters, digits and @ . + - _ only, or an e-mail "
            "address."
        )
        problems.append(Problem(("person",), message))
    if len(username) > _LONGEST_NAME:
        message = f"Shorten the user name to {_LONGEST_NAME} signs."
        problems.append(Problem(("person",), message))
    try:
        if email:
            validate_email(email)
    except ValidationError:
        message = f"{email} is not an e-mail address."
        problems.append(Problem(("person",), message))
    if len(name) > _LONGEST_NAME:
        message = f"Shorten the name to {_LONGEST_NAME} signs."
        problems.append(Problem(("name",), message))
    return problems
