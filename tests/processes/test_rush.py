"""Many groups at once: nothing is lost, nothing is locked, each is computed once.

Two web processes and two workers write at the same time. How fast that is says more
of the machine than of the code: `make rush` measures it.
"""

import pytest

from tests.rush.crowd import Rush
from tests.rush.sites import rushed_site

RUSH = Rush(groups=60, within_s=5, arriving_s=3, typing_s=4)
pytestmark = pytest.mark.timeout(240)


@pytest.fixture(
    scope="module",
    params=[("postgres", "redis"), ("sqlite", "folder")],
    ids=["postgres-redis", "sqlite-folder"],
)
def rush(request, tmp_path_factory):
    """The outcome of a rush, and what the processes wrote meanwhile."""
    folder = tmp_path_factory.mktemp("rush")
    # Without a scheduler nothing is computed again for a class that has grown: each
    # message has to find its worker, and what is computed twice is a fault.
    with rushed_site(*request.param, folder, RUSH.groups, in_full=False) as site:
        outcome = site.endure(RUSH)
        yield outcome, site.output


def test_what_was_acknowledged_is_stored_once_and_has_one_answer(rush):
    outcome, _ = rush

    assert outcome.crowd.failures == []
    assert outcome.compared.faults == []
    assert outcome.compared.acknowledged == RUSH.groups
    assert outcome.compared.stored == RUSH.groups
    assert outcome.compared.computed == RUSH.groups


def test_no_sheet_is_computed_twice(rush):
    outcome, _ = rush

    assert outcome.compared.computations == RUSH.groups


def test_no_process_complains_of_a_locked_database_or_fails(rush):
    _, output = rush

    assert "database is locked" not in output
    assert "Traceback" not in output
    assert " 500" not in output
