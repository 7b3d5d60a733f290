"""Phones that wait for their answer look often, in the minutes of a rush."""

import pytest
from django.urls import reverse

from tests.factories import make_bench, slip_code, worked_off
from tests.frontend.benches import sign_in, typed_sheet

pytestmark = pytest.mark.django_db

# The session, who is at the door, the submission with its answer.
LOOK = 3


@pytest.fixture(params=[1, 3])
def n_revisions(client, request):
    """So many revisions of a signed-in group, of which none is computed."""
    make_bench(slip=slip_code())
    sign_in(client)
    for number in range(request.param):
        client.post(reverse("bench-sheet"), typed_sheet(key=f"key-{number}"))
    return request.param


def test_a_look_takes_few_queries(client, n_revisions, django_assert_num_queries):
    state = reverse("bench-result-state", args=[n_revisions])

    with django_assert_num_queries(LOOK):
        waiting = client.get(state)
    worked_off()
    # Its findings come with the answer.
    with django_assert_num_queries(LOOK + 1):
        computed = client.get(state)

    assert b"data-waiting" in waiting.content
    assert b"data-waiting" not in computed.content


def test_the_page_takes_few_queries(client, n_revisions, django_assert_num_queries):
    # The list of revisions, and the grade.
    with django_assert_num_queries(LOOK + 2):
        waiting = client.get(reverse("bench-result-current"))
    worked_off()
    with django_assert_num_queries(LOOK + 3):
        computed = client.get(reverse("bench-result-current"))

    for page in (waiting, computed):
        assert page.content.count(b"<li><a href=") == n_revisions
