"""Signing in at the college by OpenID Connect: what is asked there, and checked.

The authorization code flow with PKCE, by OpenID Connect Core 1.0, Discovery 1.0 and
RFC 7636. Authlib draws and compares state, nonce and verifier, fetches keys (again
for a key that it does not know yet) and checks signature, issuer, audience and
times; what it leaves to its user is checked here.
"""

from collections.abc import Mapping
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode, urlsplit

from authlib.common.errors import AuthlibBaseError
from authlib.integrations.django_client import OAuth
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from joserfc.errors import JoseError
from requests import RequestException

from results.policy.refusals import NotFound
from results.policy.staffing import Person

if TYPE_CHECKING:
    from labsite.environment import SignOn

# A token signed with a shared secret, or not at all ("none"), proves nothing here:
# only keys that the provider publishes count, whatever its document offers.
_ALGORITHMS = frozenset(
    {"RS256", "RS384", "RS512", "PS256", "PS384", "PS512"}
    | {"ES256", "ES384", "ES512", "EdDSA", "Ed25519"}
)
_ENDPOINTS = ("authorization_endpoint", "token_endpoint", "jwks_uri")
# People wait for the answer; a provider that is up takes well under a second.
_PATIENCE_S = 5
# Clocks of two well-kept machines differ by less.
_LEEWAY_S = 60
_KEPT_S = 600
# OpenID Connect Core 1.0, section 2.
_LONGEST_SUBJECT = 255


class CollegeAway(Exception):
    """The provider does not answer, or answers nonsense."""


class SignOnFailed(Exception):
    """What came back from the provider is not good; the message is for the log."""


def sign_on_settings() -> "SignOn":
    """Return how people sign in at the college.

    Raises
    ------
    NotFound
        They do not.
    """
    if settings.SIGN_ON is None:
        message = "People sign in here with a user name and a password."
        raise NotFound(message)
    return settings.SIGN_ON


def to_college(request: HttpRequest, *, back: str, now: datetime) -> HttpResponse:
    """Send a person to the college; state, nonce and verifier stay in the session.

    Parameters
    ----------
    back : str
        Address to which the college sends the person back.

    Raises
    ------
    CollegeAway
        The provider cannot be asked.
    """
    client = _client(now)
    answer: HttpResponse = client.authorize_redirect(request, back)
    return answer


def from_college(request: HttpRequest, *, now: datetime) -> Person:
    """Return who came back from the college.

    Raises
    ------
    CollegeAway
        The provider cannot be asked.
    SignOnFailed
        State, code or token are not good.
    """
    client, sign_on = _client(now), sign_on_settings()
    expected = {
        "iss": {"essential": True, "value": sign_on.issuer},
        "aud": {"essential": True, "value": sign_on.client_id},
        "sub": {"essential": True},
    }
    try:
        token = client.authorize_access_token(
            request, claims_options=expected, leeway=_LEEWAY_S
        )
        claims = dict(token.get("userinfo") or {})
        if not claims:
            message = "no identity token"
            raise SignOnFailed(message)
        return _person(_completed(client, token, claims, sign_on), sign_on)
    except RequestException as error:
        raise CollegeAway(type(error).__name__) from error
    except (AuthlibBaseError, JoseError, ValueError) as error:
        raise SignOnFailed(repr(error)) from error


def end_session_address(now: datetime) -> str:
    """Return where a person signs out at the college; nothing if that is not told."""
    sign_on = settings.SIGN_ON
    if sign_on is None:
        return ""
    try:
        address = _client(now).server_metadata.get("end_session_endpoint", "")
    except CollegeAway:
        return ""
    if not address or urlsplit(address).scheme != urlsplit(sign_on.issuer).scheme:
        return ""
    return f"{address}?{urlencode({'client_id': sign_on.client_id})}"


def _client(now: datetime) -> Any:
    return _known_client(sign_on_settings(), int(now.timestamp()) // _KEPT_S)


# What a provider says of itself is asked for every ten minutes, not for everybody.
@lru_cache(maxsize=1)
def _known_client(sign_on: "SignOn", _period: int) -> Any:
    client = OAuth().register(
        "college",
        client_id=sign_on.client_id,
        client_secret=sign_on.client_secret,
        server_metadata_url=(
            f"{sign_on.issuer.rstrip('/')}/.well-known/openid-configuration"
        ),
        client_kwargs={
            "scope": "openid profile email",
            "code_challenge_method": "S256",
            "default_timeout": _PATIENCE_S,
        },
    )
    try:
        described = client.load_server_metadata()
    except (RequestException, ValueError, TypeError) as error:
        raise CollegeAway(type(error).__name__) from error
    described.update(_checked(described, sign_on))
    return client


def _checked(described: Mapping[str, Any], sign_on: "SignOn") -> dict[str, Any]:
    """Return what replaces parts of the provider's own description."""
    if described.get("issuer") != sign_on.issuer:
        message = f"the discovery document is of {described.get('issuer')!r}"
        raise CollegeAway(message)
    scheme = urlsplit(sign_on.issuer).scheme
    for name in _ENDPOINTS:
        if urlsplit(str(described.get(name, ""))).scheme != scheme:
            message = f"the discovery document has no good {name}"
            raise CollegeAway(message)
    offered = described.get("id_token_signing_alg_values_supported") or ["RS256"]
    ways = described.get("token_endpoint_auth_methods_supported")
    is_basic = not ways or "client_secret_basic" in ways
    return {
        "id_token_signing_alg_values_supported": sorted(_ALGORITHMS & set(offered)),
        "token_endpoint_auth_method": (
            "client_secret_basic" if is_basic else "client_secret_post"
        ),
    }


def _completed(
    client: Any, token: Any, claims: dict[str, Any], sign_on: "SignOn"
) -> dict[str, Any]:
    """Ask for what the identity token leaves out: many providers keep it apart."""
    wanted = (sign_on.claim_username, "email")
    if all(name in claims for name in wanted):
        return claims
    if not client.server_metadata.get("userinfo_endpoint"):
        return claims
    told = client.userinfo(token=token)
    # OpenID Connect Core 1.0, section 5.3.2: another's answer must not be used.
    if told.get("sub") != claims["sub"]:
        message = "the user information is of somebody else"
        raise SignOnFailed(message)
    return {**told, **claims}


def _person(claims: Mapping[str, Any], sign_on: "SignOn") -> Person:
    subject = claims["sub"]
    if not isinstance(subject, str) or not 0 < len(subject) <= _LONGEST_SUBJECT:
        message = "the subject is no short text"
        raise SignOnFailed(message)
    if _text(subject) != subject:
        message = "the subject has signs that nobody can read"
        raise SignOnFailed(message)
    email = _text(claims.get("email"))
    username = _text(claims.get(sign_on.claim_username))
    return Person(
        issuer=sign_on.issuer,
        subject=subject,
        username=username or email.partition("@")[0],
        name=_text(claims.get("name")),
        email=email,
        email_is_verified=claims.get("email_verified") is True,
    )


def _text(value: object) -> str:
    if not isinstance(value, str):
        return ""
    return "".join(sign for sign in value if sign.isprintable()).strip()
