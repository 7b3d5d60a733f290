"""The ledger finds what is lost, doubled or never computed."""

import pytest
from django.db import connection

from results.models import Submission
from tests.factories import make_bench, submit, worked_off
from tests.rush.ledger import Ledger, compare

pytestmark = pytest.mark.django_db
LABEL = "IRON-1/A1/1"


class DatabaseOfTheTest:
    """Asks as a site of processes does."""

    def rows(self, query):
        with connection.cursor() as cursor:
            cursor.execute(query)
            return cursor.fetchall()

    def ask(self, query):
        return self.rows(query)[0][0]


@pytest.fixture
def group():
    return make_bench().group


def faults(*entries):
    ledger = Ledger()
    for entry in entries:
        ledger.acknowledged(*entry)
    return compare(ledger, DatabaseOfTheTest()).faults


def test_what_was_acknowledged_stored_and_computed_once_is_no_fault(group):
    submit(group, key="a")
    worked_off()

    assert faults((LABEL, "a", 1)) == []


def test_a_lost_sheet_is_a_fault(group):
    submit(group, key="a")
    worked_off()
    Submission.objects.all().delete()

    assert faults((LABEL, "a", 1)) == [
        f"acknowledged and lost: {(LABEL, 'a', 1)}",
    ]


def test_a_sheet_that_was_stored_under_two_keys_is_a_fault(group):
    submit(group, key="a")
    submit(group, key="b")
    worked_off()

    assert faults((LABEL, "a", 1)) == [
        f"stored and never acknowledged: {(LABEL, 'b', 2)}",
    ]


def test_a_sheet_that_waits_for_ever_is_a_fault(group):
    submit(group, key="a")

    assert faults((LABEL, "a", 1)) == [
        f"never computed: {(LABEL, 'a', 1)}",
        "left pending or set aside: 1",
    ]
