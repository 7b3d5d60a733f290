"""Settings come from the environment, and nonsense stops the start."""

import pytest

from labsite.environment import BadEnvironment, read_environment, read_flag

SECRET = {"SECRET_KEY": "s" * 50}


def test_outside_debug_there_is_no_secret_by_default():
    with pytest.raises(BadEnvironment, match="SECRET_KEY is not set"):
        read_environment({})


def test_a_trial_needs_nothing_but_debug():
    environment = read_environment({"DEBUG": "true"})

    assert environment.debug
    assert "localhost" in environment.allowed_hosts
    assert environment.database_url.startswith("sqlite:///")
    assert environment.broker_scheme == "filesystem"
    assert not environment.https_only


def test_outside_debug_https_is_demanded():
    assert read_environment(SECRET).https_only


def test_hosts_are_named_with_commas():
    environment = read_environment({**SECRET, "ALLOWED_HOSTS": "a.example, b.example"})

    assert environment.allowed_hosts == ("a.example", "b.example")


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("DEBUG", "perhaps"),
        ("TIME_ZONE", "Mars/Olympus"),
        ("CELERY_BROKER_URL", "pigeon://loft"),
        ("CLAIM_LEASE_SECONDS", "-1"),
        ("CLAIM_LEASE_SECONDS", "soon"),
        ("TRUSTED_PROXIES", "one"),
        ("LOG_FORMAT", "poem"),
        ("METRICS_TOKEN", "short"),
    ],
)
def test_a_value_that_cannot_be_used_is_named(name, value):
    with pytest.raises(BadEnvironment, match=name):
        read_environment({**SECRET, name: value})


@pytest.mark.parametrize("broker", ["redis://h:6379/0", "amqp://u:p@h//", "memory://"])
def test_brokers_are_chosen_by_address_alone(broker):
    environment = read_environment({**SECRET, "CELERY_BROKER_URL": broker})

    assert environment.celery_broker_url == broker


def test_the_broker_without_a_server_may_have_its_own_folder():
    url = "filesystem:///var/spool/bench"

    environment = read_environment({**SECRET, "CELERY_BROKER_URL": url})

    assert str(environment.broker_folder) == "/var/spool/bench"


def test_a_lease_may_be_set():
    environment = read_environment({**SECRET, "CLAIM_LEASE_SECONDS": "2.5"})

    assert environment.claim_lease_s == 2.5


@pytest.mark.parametrize(("word", "flag"), [("yes", True), ("OFF", False), ("", False)])
def test_flags_are_written_as_people_write_them(word, flag):
    assert read_flag({"X": word}, "X", default=not flag) is flag


def test_no_proxy_is_trusted_unless_named():
    assert read_environment(SECRET).trusted_proxies == 0
    assert read_environment({**SECRET, "TRUSTED_PROXIES": "2"}).trusted_proxies == 2


COLLEGE = {
    "OIDC_ISSUER": "https://id.college.example/realm",
    "OIDC_CLIENT_ID": "benchwide",
    "OIDC_CLIENT_SECRET": "between-the-two-of-us",
}


def test_people_sign_in_here_unless_a_college_is_named():
    assert read_environment(SECRET).sign_on is None
    assert read_environment(SECRET | dict.fromkeys(COLLEGE, "")).sign_on is None


def test_a_college_needs_three_settings_and_takes_more():
    few = read_environment(SECRET | COLLEGE).sign_on
    more = read_environment(
        {
            **SECRET,
            **COLLEGE,
            "OIDC_NAME": "Northfold College",
            "OIDC_CLAIM_USERNAME": "staff_no",
            "OIDC_EMAIL_DOMAINS": "Chem.example, phys.example",
            "OIDC_MAKE_ACCOUNTS": "yes",
        }
    ).sign_on

    assert (few.claim_username, few.email_domains, few.make_accounts) == (
        "preferred_username",
        (),
        False,
    )
    assert (more.name, more.claim_username) == ("Northfold College", "staff_no")
    assert more.email_domains == ("chem.example", "phys.example")
    assert more.make_accounts


@pytest.mark.parametrize("missing", COLLEGE)
def test_half_a_college_is_refused_by_what_is_missing(missing):
    half = {name: value for name, value in COLLEGE.items() if name != missing}

    with pytest.raises(BadEnvironment, match=f"{missing} is not"):
        read_environment(SECRET | half)


def test_an_option_without_a_college_is_refused():
    with pytest.raises(BadEnvironment, match="OIDC_ISSUER and OIDC_CLIENT_ID and"):
        read_environment({**SECRET, "OIDC_MAKE_ACCOUNTS": "true"})


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("OIDC_ISSUER", "id.college.example"),
        ("OIDC_ISSUER", "http://id.college.example"),
        ("OIDC_ISSUER", "http://localhost:9000"),
        ("OIDC_ISSUER", "https://id.college.example/?realm=1"),
        ("OIDC_ISSUER", "https://"),
        ("OIDC_EMAIL_DOMAINS", "zoe@chem.example"),
        ("OIDC_EMAIL_DOMAINS", "*.example"),
        ("OIDC_EMAIL_DOMAINS", "example"),
        ("OIDC_MAKE_ACCOUNTS", "perhaps"),
    ],
)
def test_a_setting_of_the_college_that_cannot_be_used_is_named(name, value):
    with pytest.raises(BadEnvironment, match=name):
        read_environment({**SECRET, **COLLEGE, name: value})


def test_a_trial_may_have_its_college_on_the_same_machine():
    at_home = {"DEBUG": "true", **COLLEGE, "OIDC_ISSUER": "http://127.0.0.1:9000"}

    assert read_environment(at_home).sign_on.issuer == "http://127.0.0.1:9000"


def test_the_secret_is_not_shown_by_accident():
    assert "between-the-two-of-us" not in repr(read_environment(SECRET | COLLEGE))
