"""A woken worker: the first submission at once, those of a rush together."""

import time

import pytest

from results import tasks
from results.models import Group, WorkBatch
from tests.factories import make_bench, make_group, raw_submission, submit

pytestmark = pytest.mark.django_db


@pytest.fixture
def pauses(monkeypatch):
    """Feign the time that passes while a worker waits: what happens in each pause."""
    happenings = []

    def sleep(_seconds):
        if happenings:
            happenings.pop(0)()

    monkeypatch.setattr(time, "sleep", sleep)
    return happenings


def test_who_sends_alone_waits_for_nobody(pauses):
    submit(make_bench().group)
    computed = []
    pauses.append(lambda: computed.append(WorkBatch.objects.get().size))

    tasks.work_off()

    assert computed == [1]


def test_what_comes_in_a_rush_is_computed_as_one_batch(pauses):
    bench = make_bench()
    submit(bench.group)
    others = [make_group(bench.section, code=str(n)) for n in (2, 3, 4)]

    def all_send():
        for n, group in enumerate(others, 1):
            # With the same readings they would be computed once more for those.
            submit(group, raw_submission(percent_T={"U1": 40 + n}))

    pauses.append(all_send)

    tasks.work_off()

    sizes = WorkBatch.objects.order_by("pk").values_list("size", flat=True)
    assert list(sizes) == [1, len(others)]
    assert Group.objects.filter(submissions__answer__isnull=False).count() == 4
