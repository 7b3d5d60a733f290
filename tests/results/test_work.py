"""What is said of the background work."""

from datetime import timedelta

import pytest

from results import recompute, tasks
from results.models import PendingRecompute, Protocol, WorkBatch
from results.policy.refusals import NotFound
from results.summaries.rights import rights_of
from results.summaries.work import course_work, is_ready, queue_state, work_of_late
from tests.factories import NOW, make_bench, make_staff, submit

pytestmark = pytest.mark.django_db


@pytest.fixture
def waiting():
    bench = make_bench()
    submit(bench.group)
    return bench


def test_a_batch_is_noted_with_its_size(waiting):
    recompute.work_off(clock=lambda: NOW)

    batch = WorkBatch.objects.get()
    assert (batch.size, batch.failed, batch.finished_at) == (1, 0, NOW)


def test_an_error_is_counted_in_its_batch(waiting):
    Protocol.objects.update(document={})

    recompute.work_off(clock=lambda: NOW)

    assert WorkBatch.objects.get().failed == 1


def test_the_queue_says_how_long_the_oldest_has_been_due(waiting):
    PendingRecompute.objects.update(available_at=NOW)

    state = queue_state(now=NOW + timedelta(seconds=90))

    assert (state.n_waiting, state.n_claimed, state.n_parked) == (1, 0, 0)
    assert state.oldest_s == 90


def test_work_of_a_lost_worker_waits_again(waiting):
    recompute.pending.claim(now=NOW)

    early = queue_state(now=NOW + timedelta(seconds=1))
    later = queue_state(now=NOW + timedelta(hours=1))

    assert (early.n_waiting, early.n_claimed) == (0, 1)
    assert (later.n_waiting, later.n_claimed) == (1, 0)


def test_only_the_last_quarter_of_an_hour_is_of_late():
    for minutes, size in ((1, 30), (10, 12), (20, 500)):
        finished = NOW - timedelta(minutes=minutes)
        WorkBatch.objects.create(finished_at=finished, seconds=0.5, size=size)

    lately = work_of_late(now=NOW)

    assert (lately.n_batches, lately.n_submissions, lately.largest) == (2, 42, 30)
    assert lately.last_at == NOW - timedelta(minutes=1)


def test_the_time_left_follows_the_pace_of_late(waiting):
    PendingRecompute.objects.update(available_at=NOW)
    WorkBatch.objects.create(finished_at=NOW, seconds=5, size=10)
    rights = rights_of(make_staff("ada").pk)

    work = course_work("IRON-1", rights=rights, now=NOW + timedelta(seconds=1))

    assert work.n_due == 1
    assert work.left_s == pytest.approx(0.5)


def test_set_aside_work_is_named_with_its_error(waiting):
    PendingRecompute.objects.update(parked_at=NOW, last_error="no such step")
    rights = rights_of(make_staff("ada").pk)

    (parked,) = course_work("IRON-1", rights=rights, now=NOW).parked

    assert (parked.group, parked.error) == ("1", "no such step")


def test_the_work_of_a_course_is_for_its_coordinator(waiting):
    assistant = make_staff("ben", role="assistant", section=waiting.section)

    with pytest.raises(NotFound):
        course_work("IRON-1", rights=rights_of(assistant.pk), now=NOW)


def test_queries_do_not_grow_with_what_waits(waiting, django_assert_num_queries):
    rights = rights_of(make_staff("ada").pk)

    # course; queue of the site; work of late twice; queue of the course; number of
    # current submissions; last batches; what is set aside
    with django_assert_num_queries(8):
        course_work("IRON-1", rights=rights, now=NOW)


def test_old_batches_are_forgotten():
    WorkBatch.objects.create(finished_at=NOW - timedelta(days=3000), seconds=1, size=1)

    tasks.tidy()

    assert not WorkBatch.objects.exists()


def test_a_migrated_database_is_ready():
    assert is_ready()
