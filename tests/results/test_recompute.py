"""Background work: claimed once, computed once, never lost, parked when poisoned."""

from datetime import timedelta

import pytest
from django.db import InterfaceError, OperationalError, connection
from django.test.utils import CaptureQueriesContext

from results import recompute
from results.models import Answer, Finding, PendingRecompute, Submission, WorkBatch
from results.recompute import pending
from tests.factories import (
    NOW,
    make_group,
    make_station,
    perfect_readings,
    raw_submission,
    submit,
)

pytestmark = pytest.mark.django_db
LEASE = timedelta(seconds=31)


def clock():
    return NOW


@pytest.fixture
def submissions():
    make_station()
    return [submit_own(n) for n in range(3)]


def submit_own(number):
    """Readings that no other group has, by a hundredth of a percent."""
    readings = {"1": round(perfect_readings()["1"] + number / 100, 4)}
    group = make_group(code=str(number))
    return submit(group, raw_submission(percent_T=readings)).submission_id


def poison(submission_id):
    """Leave a submission that the computation cannot even begin with."""
    submission = Submission.objects.get(pk=submission_id)
    protocol = submission.protocol
    protocol.pk, protocol.version = None, 2
    protocol.document = {**protocol.document, "standards": "none"}
    protocol.save()
    Submission.objects.filter(pk=submission_id).update(protocol=protocol)


def test_everything_that_waits_is_computed_once(submissions):
    recompute.work_off(clock=clock)

    assert Answer.objects.count() == 3
    assert set(Answer.objects.values_list("computations", flat=True)) == {1}
    assert not PendingRecompute.objects.exists()


def test_a_perfect_group_gets_the_iron_that_it_was_given(submissions):
    recompute.work_off(clock=clock)

    answer = Answer.objects.get(submission_id=submissions[0])

    assert answer.iron_percent == pytest.approx(12.0, abs=1e-3)
    assert answer.slope == pytest.approx(0.1988, rel=1e-4)


def test_small_batches_give_the_same_answers(submissions):
    recompute.work_off(clock=clock, limit=1)
    one_by_one = list(Answer.objects.order_by("submission").values("iron_percent"))

    recompute.enqueue(submissions, reason="again", now=NOW)
    recompute.work_off(clock=clock)

    together = list(Answer.objects.order_by("submission").values("iron_percent"))
    assert one_by_one == together


def test_two_workers_never_claim_one_submission(submissions):
    first = pending.claim(now=NOW, limit=2)
    second = pending.claim(now=NOW, limit=2)

    assert len(first.requests) == 2
    assert len(second.requests) == 1
    assert not set(first.requests) & set(second.requests)


def test_the_claim_of_a_killed_worker_is_free_after_its_lease(submissions):
    pending.claim(now=NOW)

    assert not pending.claim(now=NOW + timedelta(seconds=1)).requests
    assert len(pending.claim(now=NOW + LEASE).requests) == 3


def test_a_worker_that_lost_its_lease_finishes_nothing(submissions):
    slow = pending.claim(now=NOW)
    quick = pending.claim(now=NOW + LEASE)

    assert pending.still_owned(slow) == set()
    assert pending.still_owned(quick) == set(submissions)


def test_a_request_that_comes_during_the_work_is_kept(submissions):
    claim = pending.claim(now=NOW)
    recompute.enqueue(submissions[:1], reason="new lot value", now=NOW)

    pending.finish(claim, submissions)

    (left,) = PendingRecompute.objects.all()
    assert left.submission_id == submissions[0]
    assert left.claimed_by is None


def test_one_poisoned_submission_does_not_block_its_batch(submissions):
    poison(submissions[1])

    recompute.work_off(clock=clock)

    assert set(Answer.objects.values_list("submission_id", flat=True)) == {
        submissions[0],
        submissions[2],
    }
    assert PendingRecompute.objects.get().attempts == 1


def refuse_to_store(submission_id):
    """Leave a database that takes no answer of a submission."""
    unwelcome = f"submission_id = {submission_id}"
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(
                "CREATE TRIGGER unwelcome BEFORE INSERT ON results_answer "
                f"WHEN NEW.{unwelcome} BEGIN SELECT RAISE(ABORT, 'unwelcome'); END"
            )
        else:
            cursor.execute(
                "ALTER TABLE results_answer ADD CONSTRAINT unwelcome "
                f"CHECK (NOT {unwelcome})"
            )


def test_an_answer_that_cannot_be_stored_does_not_block_its_batch(submissions):
    refuse_to_store(submissions[1])

    recompute.work_off(clock=clock)

    assert set(Answer.objects.values_list("submission_id", flat=True)) == {
        submissions[0],
        submissions[2],
    }
    left = PendingRecompute.objects.get()
    assert (left.submission_id, left.attempts) == (submissions[1], 1)
    assert "IntegrityError" in left.last_error


@pytest.mark.parametrize("error", [InterfaceError, OperationalError])
def test_a_lost_connection_is_no_fault_of_the_submissions(submissions, error):
    def lose(execute, sql, *arguments):
        if "results_reading" in sql:
            raise error
        return execute(sql, *arguments)

    with connection.execute_wrapper(lose), pytest.raises(error):
        recompute.work_off(clock=clock)

    assert set(PendingRecompute.objects.values_list("attempts", flat=True)) == {0}


def test_a_poisoned_submission_is_parked_with_its_error(submissions):
    poison(submissions[1])

    for minutes in range(pending.MOST_ATTEMPTS):
        moment = NOW + timedelta(minutes=minutes)
        recompute.work_off(clock=lambda moment=moment: moment)

    parked = PendingRecompute.objects.get()
    assert parked.parked_at is not None
    assert "NotAdmitted" in parked.last_error


def test_parked_work_can_be_tried_again(submissions):
    PendingRecompute.objects.update(parked_at=NOW, attempts=3)
    ids = list(PendingRecompute.objects.values_list("pk", flat=True))

    assert recompute.retry_parked(ids, now=NOW) == 3

    recompute.work_off(clock=clock)
    assert Answer.objects.count() == 3


def test_asking_again_counts_another_computation_of_the_same_answer(submissions):
    recompute.work_off(clock=clock)

    recompute.enqueue(submissions, reason="again", now=NOW)
    recompute.work_off(clock=clock)

    assert set(Answer.objects.values_list("computations", flat=True)) == {2}


def test_findings_are_replaced_not_added_to(submissions):
    Finding.objects.create(
        submission_id=submissions[0],
        audience="staff",
        code="tube_off",
        tube="3",
        probability=0.9,
    )

    recompute.work_off(clock=clock)

    assert not Finding.objects.filter(code="tube_off").exists()


def test_the_number_of_queries_does_not_grow_with_the_batch(submissions):
    # Claim: savepoint, select new ones and others, update, release. Compute: class
    # fits; submissions, their protocols, their readings; for the context the class's
    # answers, their assigned values, the batch's assigned values; for whole-class
    # findings the course, its lots and assigned values, groups with the same readings.
    # Store: savepoint, owned, answers before, insert answers, delete findings,
    # select and delete pending, release. Last, a claim that finds nothing.
    recompute.work_off(clock=clock)
    three = [submit_own(number) for number in range(3, 6)]
    with CaptureQueriesContext(connection) as for_three:
        recompute.work_off(clock=clock)
    more = [submit_own(number) for number in range(6, 36)]

    with CaptureQueriesContext(connection) as for_thirty:
        recompute.work_off(clock=clock)

    assert (len(three), len(more)) == (3, 30)
    assert len(for_thirty) == len(for_three)


def outcomes():
    """What is stored of every submission, to nine figures, without keys and times."""
    answers = Answer.objects.order_by("submission_id").values_list(
        "submission_id", "iron_percent", "low", "high", "log_absorptivity"
    )
    findings = Finding.objects.order_by("submission_id", "audience", "code", "tube")
    rows = [
        *answers,
        *findings.values_list("submission_id", "audience", "code", "probability"),
    ]
    return [[f"{x:.9g}" if isinstance(x, float) else x for x in row] for row in rows]


def test_a_class_computed_again_in_small_batches_says_the_same(submissions):
    for number in range(3, 25):
        submit_own(number)
    slipped = raw_submission(percent_T={"2": 70.0})
    submit(make_group(code="slipped"), slipped)
    recompute.work_off(clock=clock)
    everybody = list(Submission.objects.values_list("pk", flat=True))
    recompute.enqueue(everybody, reason="again", now=NOW)
    recompute.work_off(clock=clock)
    together = outcomes()

    recompute.enqueue(everybody, reason="again", now=NOW)
    recompute.work_off(clock=clock, limit=4)

    assert outcomes() == together
    assert Finding.objects.exists()


def test_a_revision_takes_the_place_of_the_one_before_in_its_class(submissions):
    groups = [submit_own(number) for number in range(3, 12)]
    recompute.work_off(clock=clock)
    revised = Submission.objects.get(pk=groups[0]).group
    submit(revised, raw_submission(percent_T={"3": 30.0}), key="second")
    later = submit_own(40)

    recompute.work_off(clock=clock, limit=1)

    in_small_batches = outcomes()
    recompute.enqueue([later], reason="again", now=NOW)
    recompute.work_off(clock=clock)
    assert outcomes() == in_small_batches


def test_whole_courses_go_by_in_batches_that_grow(submissions, monkeypatch):
    monkeypatch.setattr(pending, "BATCH_SIZE", 2)
    monkeypatch.setattr(pending, "LARGEST_BATCH", 6)
    for number in range(3, 22):
        submit_own(number)

    recompute.work_off(clock=clock)

    sizes = list(WorkBatch.objects.order_by("pk").values_list("size", flat=True))
    assert sizes == [2, 4, 6, 6, 4]


def test_who_has_just_sent_does_not_wait_for_a_course_computed_again(submissions):
    recompute.work_off(clock=clock)
    recompute.enqueue(submissions[::-1], reason="another value", now=NOW)
    new = submit_own(7)

    first = pending.claim(now=NOW + timedelta(seconds=1), limit=2)

    assert sorted(first.requests) == sorted([new, submissions[0]])
