"""Who calls: signed tokens of groups and of staff.

A token carries a mark of what it was issued for: the group's slip, or the
password of the member of staff. When either changes, the token dies.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, ClassVar, cast

from django.contrib.auth import authenticate, get_user_model
from django.contrib.auth.base_user import AbstractBaseUser
from django.core import signing
from django.utils.crypto import constant_time_compare
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from results.intake import SignedInBySlip, slip_in_use
from results.policy.language import tell
from results.policy.refusals import NotAdmitted, Problem

TOKEN_LIFE = timedelta(hours=12)
_SALT = "api.token"
_MARK_LENGTH = 16


@dataclass(frozen=True, slots=True)
class GroupViewer:
    """A group that signed in with its slip."""

    group_id: int
    is_authenticated: ClassVar[bool] = True


@dataclass(frozen=True, slots=True)
class StaffViewer:
    """A member of staff who signed in with a password."""

    user_id: int
    name: str
    is_authenticated: ClassVar[bool] = True


Viewer = GroupViewer | StaffViewer


@dataclass(frozen=True, slots=True)
class Issued:
    """A token, and when it ends."""

    token: str
    expires_at: datetime


def group_token(signed_in: SignedInBySlip, *, now: datetime) -> Issued:
    """Issue a token for a group; it dies with the group's slip."""
    return _issue("group", signed_in.group_id, signed_in.mark, now)


def staff_token(username: str, password: str, *, now: datetime) -> Issued:
    """Issue a token for a member of staff; it dies with the password.

    Raises
    ------
    NotAdmitted
        The name and the password do not go together.
    """
    user = authenticate(username=username, password=password)
    if user is None:
        sentence = "This name and password do not go together. Type both once more."
        raise NotAdmitted([Problem(("password",), sentence)])
    return _issue("staff", user.pk, _password_mark(user), now)


def _issue(role: str, key: int, mark: str, now: datetime) -> Issued:
    token = signing.dumps({"role": role, "key": key, "mark": mark}, salt=_SALT)
    return Issued(token, now + TOKEN_LIFE)


def _password_mark(user: AbstractBaseUser) -> str:
    return user.get_session_auth_hash()[:_MARK_LENGTH]


class TokenAuthentication(BaseAuthentication):
    """Reads ``Authorization: Bearer`` and a signed token."""

    def authenticate(self, request: Request) -> tuple[Viewer, None] | None:
        """Return the viewer; None without a token.

        Raises
        ------
        AuthenticationFailed
            The token was not issued here, has expired or was withdrawn.
        """
        scheme, _, token = get_authorization_header(request).partition(b" ")
        if scheme.lower() != b"bearer":
            return None
        viewer = _viewer_of(_content_of(token.strip().decode("ascii", "replace")))
        if viewer is None:
            message = tell("The token was withdrawn. Sign in again.")
            raise AuthenticationFailed(message)
        return viewer, None

    def authenticate_header(self, request: Request) -> str:  # noqa: ARG002
        """Return the challenge of a refusal (RFC 6750)."""
        return 'Bearer realm="api"'


def _content_of(token: str) -> dict[str, Any]:
    try:
        content = signing.loads(token, salt=_SALT, max_age=TOKEN_LIFE)
    except signing.SignatureExpired as error:
        message = tell("The token has expired. Sign in again.")
        raise AuthenticationFailed(message) from error
    except signing.BadSignature as error:
        message = tell("This is not a token of this site. Sign in again.")
        raise AuthenticationFailed(message) from error
    return cast("dict[str, Any]", content)


def _viewer_of(content: dict[str, Any]) -> Viewer | None:
    key: int = content["key"]
    if content["role"] == "group":
        mark = slip_in_use(key)
        viewer: Viewer = GroupViewer(key)
    else:
        user = get_user_model().objects.filter(pk=key, is_active=True).first()
        mark = _password_mark(user) if user else ""
        viewer = StaffViewer(key, user.get_username() if user else "")
    if mark and constant_time_compare(mark, content["mark"]):
        return viewer
    return None
