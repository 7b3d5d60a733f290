"""Whatever is asked, and whoever asks, the answer is one that the description names.

Requests come from the description itself: valid ones, ones that break it in one
place, other methods, other media types. They go to the site's own WSGI door; nothing
listens on a port. ``EXAMPLES_TIMES=50`` makes a long run of it, each time with other
requests.
"""

from contextlib import closing
from pathlib import Path

import pytest
import schemathesis
from django.contrib.auth.models import User
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, transaction
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi import checks

from labsite.wsgi import application
from tests import factories
from tests.api.conftest import Program
from tests.spoilt import IS_LONG, examples

LONGEST_ANSWER_S = 10
CHECKS = [
    not_a_server_error,
    checks.status_code_conformance,
    checks.content_type_conformance,
    checks.response_headers_conformance,
    checks.response_schema_conformance,
    checks.missing_required_header,
    checks.unsupported_method,
]


def door(environ, start_response):
    """Let a request in, and keep the connection in which the test's records stand.

    A request that comes through the door of web servers has stale connections closed
    before and after it, and takes the transaction of a test for one; Django's own
    test client steps around that in the same way.
    """
    signals = (request_started, request_finished)
    for signal in signals:
        signal.disconnect(close_old_connections)
    try:
        with closing(application(environ, start_response)) as answer:
            return [b"".join(answer)]
    finally:
        for signal in signals:
            signal.connect(close_old_connections)


schema = schemathesis.openapi.from_path(Path(__file__).with_name("openapi.yml"))
schema.app = door
schema.config.update(base_url="http://localhost")
# Two methods that no address knows stand for all of them.
schema.config.phases.coverage.unexpected_methods = {"put", "trace"}
# Who asks is said below, and by nothing that is made up.
schema.config.generation.update(with_security_parameters=False)

pytestmark = [pytest.mark.django_db, pytest.mark.timeout(3600 if IS_LONG else 120)]
# Addresses that ask for no token.
OPEN = ["signing in", "about"]
PLAIN = {"Accept-Encoding": "identity"}
CALLERS = ["nobody", "group", "assistant", "coordinator", "administration"]


@pytest.fixture(scope="module")
def site(django_db_setup, django_db_blocker):
    """A course with everything that an address can name, for all tests here.

    Each test undoes what its own requests did, down to this.
    """
    with django_db_blocker.unblock(), transaction.atomic():
        bench = factories.make_bench(slip=factories.slip_code(1))
        factories.make_grading(bench.course)
        factories.submit(bench.group)
        factories.worked_off()
        yield bench
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def tokens(site, django_db_blocker):
    """What each caller sends to be let in."""
    with django_db_blocker.unblock():
        factories.make_staff("ben", role="assistant", section=site.section)
        factories.make_staff("ada")
        User.objects.create_superuser("root", password=factories.PASSWORD)
        return {
            "group": Program().as_group(factories.slip_code(1)),
            "assistant": Program().as_staff("ben"),
            "coordinator": Program().as_staff("ada"),
            "administration": Program().as_staff("root"),
        }


@pytest.fixture
def headers(caller, tokens):
    if caller == "nobody":
        return PLAIN
    token = tokens[caller]._credentials["HTTP_AUTHORIZATION"]
    return {**PLAIN, "Authorization": token}


def asked(case, bench):
    """Yield the request as it was made up, and once more for what there is."""
    yield case
    there = {
        "code": bench.course.code,
        "section_id": bench.section.pk,
        "group_id": bench.group.pk,
        "lot_id": bench.lot.pk,
        "station_id": bench.station.pk,
        "revision": 1,
    }
    if case.path_parameters:
        case.path_parameters = {name: there[name] for name in case.path_parameters}
        yield case


def examine(case, headers, site):
    for one in asked(case, site):
        response = one.call(headers=headers)
        one.validate_response(response, checks=CHECKS)
        assert response.elapsed < LONGEST_ANSWER_S


AS_MANY = examples(2)


@schema.include(tag=OPEN).parametrize()
@AS_MANY
def test_open_addresses_answer_as_described(case, site):
    examine(case, PLAIN, site)


@pytest.mark.parametrize("caller", CALLERS)
@schema.exclude(tag=OPEN).parametrize()
@AS_MANY
def test_every_caller_is_answered_as_described(case, headers, site):
    examine(case, headers, site)
