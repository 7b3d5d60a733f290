"""Everything that Benchwide reads from its environment, typed and checked once."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

ROOT = Path(__file__).resolve().parent.parent
BROKERS = frozenset({"filesystem", "memory", "redis", "rediss", "amqp", "amqps"})
LOG_FORMATS = frozenset({"line", "json"})
_SHORTEST_TOKEN = 20
_TRUE = frozenset({"1", "true", "yes", "on"})
_FALSE = frozenset({"", "0", "false", "no", "off"})
# Only a site that nobody else can reach runs with debug on.
_DEBUG_SECRET = "known-to-everybody-so-only-for-debugging"  # noqa: S105
_SIGN_ON_NEEDS = ("OIDC_ISSUER", "OIDC_CLIENT_ID", "OIDC_CLIENT_SECRET")
_LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})


class BadEnvironment(Exception):
    """A variable of the environment holds something that cannot be used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignOn:
    """Signing in at the college by OpenID Connect.

    Attributes
    ----------
    issuer : str
        Address of the provider, as its discovery document and its tokens name it.
    name : str
        What the college is called on the sign-in page.
    claim_username : str
        Claim whose value becomes the user name of a new account.
    email_domains : tuple of str
        Domains in small letters; an address made sure of by the college, in one of
        these, finds the account that has it. None: addresses find nobody.
    make_accounts : bool
        Whether the unknown get accounts, without any duty.
    """

    issuer: str
    client_id: str
    client_secret: str = field(repr=False)
    name: str = "your college"
    claim_username: str = "preferred_username"
    email_domains: tuple[str, ...] = ()
    make_accounts: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Environment:
    """The variables of the environment, each in its own type.

    Attributes
    ----------
    database_url : str
        Address of the database; an SQLite file in the checkout unless given.
    celery_broker_url : str
        Address of the broker; a folder of small files unless given.
    secret_key : str
        Signs sessions, tokens and slip codes. Required outside debug.
    allowed_hosts : tuple of str
        Names under which the site may be addressed.
    debug : bool
        Shows error details; never on a machine that others can reach.
    https_only : bool
        Cookies and redirects demand HTTPS. On unless debugging or switched off.
    time_zone : str
        Name of the zone in which times are shown, as the tz database spells it.
    claim_lease_s : float
        Seconds after which a claim of pending work is free again.
    data_folder : Path
        Where the embedded database and broker keep their files.
    trusted_proxies : int
        How many proxies of one's own stand in front; without one, a caller's own
        word on its address and on HTTPS counts for nothing.
    log_format : str
        Lines to read, or one JSON object a line for programs.
    metrics_token : str
        What a program has to bring to read the metrics; without it there are none.
    sign_on : SignOn or None
        Signing in at the college; accounts of the site's own only if None.
    """

    database_url: str
    celery_broker_url: str
    secret_key: str
    allowed_hosts: tuple[str, ...]
    debug: bool
    https_only: bool
    time_zone: str
    claim_lease_s: float
    data_folder: Path
    trusted_proxies: int
    log_format: str
    metrics_token: str
    sign_on: SignOn | None

    @property
    def broker_scheme(self) -> str:
        """Kind of broker: the part of its address before the colon."""
        return urlsplit(self.celery_broker_url).scheme

    @property
    def broker_folder(self) -> Path:
        """Folder of the broker that needs no server."""
        path = urlsplit(self.celery_broker_url).path
        return Path(path) if path.strip("/") else self.data_folder / "broker"


def read_flag(variables: Mapping[str, str], name: str, *, default: bool) -> bool:
    """Read a yes-or-no variable.

    Raises
    ------
    BadEnvironment
        The text is neither a yes nor a no.

    Examples
    --------
    >>> read_flag({"DEBUG": "yes"}, "DEBUG", default=False)
    True
    """
    if name not in variables:
        return default
    word = variables[name].strip().lower()
    if word in _TRUE:
        return True
    if word in _FALSE:
        return False
    message = f"{name} is {variables[name]!r}: write true or false."
    raise BadEnvironment(message)


def read_environment(variables: Mapping[str, str]) -> Environment:
    """Read every variable, or refuse with the name of the first bad one.

    Raises
    ------
    BadEnvironment
        A value cannot be used, or the secret key is missing outside debug.
    """
    debug = read_flag(variables, "DEBUG", default=False)
    data_folder = Path(variables.get("DATA_FOLDER") or ROOT / ".demo")
    return Environment(
        database_url=variables.get("DATABASE_URL")
        or f"sqlite:///{data_folder / 'benchwide.sqlite3'}",
        celery_broker_url=_broker_url(variables.get("CELERY_BROKER_URL", "")),
        secret_key=_secret_key(variables.get("SECRET_KEY", ""), debug=debug),
        allowed_hosts=_allowed_hosts(variables.get("ALLOWED_HOSTS", ""), debug=debug),
        debug=debug,
        https_only=read_flag(variables, "HTTPS_ONLY", default=not debug),
        time_zone=_time_zone(variables.get("TIME_ZONE") or "UTC"),
        claim_lease_s=_positive_seconds(variables, "CLAIM_LEASE_SECONDS", default=30),
        data_folder=data_folder,
        trusted_proxies=_count(variables, "TRUSTED_PROXIES"),
        log_format=_log_format(variables.get("LOG_FORMAT") or "line"),
        metrics_token=_metrics_token(variables.get("METRICS_TOKEN", "")),
        sign_on=_sign_on(variables, debug=debug),
    )


def _broker_url(text: str) -> str:
    url = text or "filesystem://"
    if urlsplit(url).scheme not in BROKERS:
        message = (
            f"CELERY_BROKER_URL is {url!r}: begin it with one of "
            f"{', '.join(sorted(BROKERS))}."
        )
        raise BadEnvironment(message)
    return url


def _log_format(text: str) -> str:
    if text not in LOG_FORMATS:
        message = f"LOG_FORMAT is {text!r}: write {' or '.join(sorted(LOG_FORMATS))}."
        raise BadEnvironment(message)
    return text


def _metrics_token(text: str) -> str:
    if text and len(text) < _SHORTEST_TOKEN:
        message = (
            f"METRICS_TOKEN has {len(text)} signs: use a random text of at least "
            f"{_SHORTEST_TOKEN}, or leave it out and have no metrics."
        )
        raise BadEnvironment(message)
    return text


def _secret_key(text: str, *, debug: bool) -> str:
    if text or debug:
        return text or _DEBUG_SECRET
    message = (
        "SECRET_KEY is not set. Set it to a long random text, or set DEBUG=true "
        "for a trial on your own machine."
    )
    raise BadEnvironment(message)


def _allowed_hosts(text: str, *, debug: bool) -> tuple[str, ...]:
    hosts = tuple(host.strip() for host in text.split(",") if host.strip())
    if hosts or not debug:
        return hosts
    return ("localhost", "127.0.0.1", "[::1]")


def _time_zone(name: str) -> str:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError) as error:
        message = f"TIME_ZONE is {name!r}: write a zone such as Europe/Lisbon."
        raise BadEnvironment(message) from error
    return name


def _positive_seconds(
    variables: Mapping[str, str], name: str, *, default: float
) -> float:
    text = variables.get(name, "")
    if not text:
        return default
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not 0 < seconds < float("inf"):
        message = f"{name} is {text!r}: write a number of seconds above 0."
        raise BadEnvironment(message)
    return seconds


def _count(variables: Mapping[str, str], name: str) -> int:
    text = variables.get(name) or "0"
    if not text.isdecimal():
        message = f"{name} is {text!r}: write a whole number, 0 or more."
        raise BadEnvironment(message)
    return int(text)


def _sign_on(variables: Mapping[str, str], *, debug: bool) -> SignOn | None:
    given = {name for name in variables if name.startswith("OIDC_") and variables[name]}
    if not given:
        return None
    missing = [name for name in _SIGN_ON_NEEDS if name not in given]
    if missing:
        message = (
            f"{min(given)} is set, but {' and '.join(missing)} "
            f"{'is' if len(missing) == 1 else 'are'} not: signing in at the college "
            f"needs {', '.join(_SIGN_ON_NEEDS)} together."
        )
        raise BadEnvironment(message)
    return SignOn(
        issuer=_issuer(variables["OIDC_ISSUER"], debug=debug),
        client_id=variables["OIDC_CLIENT_ID"],
        client_secret=variables["OIDC_CLIENT_SECRET"],
        name=variables.get("OIDC_NAME") or "your college",
        claim_username=variables.get("OIDC_CLAIM_USERNAME") or "preferred_username",
        email_domains=_domains(variables.get("OIDC_EMAIL_DOMAINS", "")),
        make_accounts=read_flag(variables, "OIDC_MAKE_ACCOUNTS", default=False),
    )


def _issuer(text: str, *, debug: bool) -> str:
    parts = urlsplit(text)
    at_home = debug and parts.scheme == "http" and parts.hostname in _LOOPBACK
    plain = parts.hostname and not parts.query and not parts.fragment
    if plain and (parts.scheme == "https" or at_home):
        return text
    message = (
        f"OIDC_ISSUER is {text!r}: write the provider's address as its discovery "
        "document gives it, beginning with https://."
    )
    raise BadEnvironment(message)


def _domains(text: str) -> tuple[str, ...]:
    domains = tuple(one.strip().casefold() for one in text.split(",") if one.strip())
    for domain in domains:
        if "." not in domain.strip(".") or set(domain) & set("@*/: "):
            message = (
                f"OIDC_EMAIL_DOMAINS has {domain!r}: write domains such as "
                "chem.example, parted by commas."
            )
            raise BadEnvironment(message)
    return domains
