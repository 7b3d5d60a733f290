"""Accepting a submission: one transaction, one revision, nothing twice."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.db import connection

from results import intake, rosters, tasks
from results.models import PendingRecompute, Reading, Submission
from results.policy.refusals import (
    KeyReused,
    NoProtocol,
    NotAdmitted,
    SectionClosed,
    SectionNotOpen,
)
from tests.factories import (
    NOW,
    make_course,
    make_group,
    make_lot,
    make_section,
    make_station,
    make_vial,
    raw_submission,
    slip_code,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def group():
    make_station()
    return make_group(slip=slip_code(1))


def accept(group, *, key="k1", raw=None, at=NOW):
    return intake.accept_submission(
        group_id=group.pk,
        raw=raw or raw_submission(),
        source="api",
        idempotency_key=key,
        received_at=at,
    )


def test_a_submission_is_stored_with_its_pending_work(group):
    accepted = accept(group)

    assert accepted.created
    assert Reading.objects.filter(submission_id=accepted.submission_id).count() == 7
    assert PendingRecompute.objects.get().submission_id == accepted.submission_id


def test_the_same_request_again_stores_nothing(group):
    first = accept(group)

    second = accept(group)

    assert second == replace(first, created=False)
    assert Submission.objects.count() == 1


def test_a_key_with_other_readings_is_refused(group):
    accept(group)

    with pytest.raises(KeyReused):
        accept(group, raw=raw_submission(standard_mass_g="0.2222"))


def test_a_revision_supersedes_the_one_before(group):
    accept(group)

    accept(group, key="k2")

    current = Submission.objects.get(is_current=True)
    assert current.revision == 2
    assert Submission.objects.filter(is_current=False).count() == 1


def test_what_comes_after_the_due_time_is_kept_but_marked_late(group):
    group.section.due_at = NOW - timedelta(minutes=1)
    group.section.save()

    assert accept(group).is_late


def test_a_section_that_has_not_opened_says_when_it_will(group):
    group.section.opens_at = NOW + timedelta(hours=1)
    group.section.save()

    with pytest.raises(SectionNotOpen, match="opens on"):
        accept(group)


def test_a_closed_section_says_whom_to_ask(group):
    group.section.closes_at = NOW
    group.section.save()

    with pytest.raises(SectionClosed, match="ask your teaching assistant"):
        accept(group)


def test_a_course_without_a_protocol_refuses_readings():
    course = make_course("BARE", protocol=False)
    group = make_group(make_section(course))

    with pytest.raises(NoProtocol):
        accept(group)


def test_a_refused_submission_leaves_nothing(group):
    with pytest.raises(NotAdmitted):
        accept(group, raw=raw_submission(station="nowhere"))

    assert not Submission.objects.exists()
    assert not PendingRecompute.objects.exists()


def test_the_vial_that_was_issued_is_taken_where_none_was_typed(group):
    vial = make_vial(make_lot(), group=group)

    accept(group)

    assert Submission.objects.get().vial == vial


def test_a_vial_of_another_group_is_refused_like_one_that_nobody_has(group):
    lot = make_lot()
    make_vial(lot, code="V1", group=make_group(code="2"))

    def sentence_about(vial):
        with pytest.raises(NotAdmitted) as refused:
            accept(group, raw=raw_submission(vial=vial))
        return [one.message.replace(vial, "?") for one in refused.value.problems]

    assert sentence_about("V1") == sentence_about("V7")


def test_a_group_names_its_own_vial_or_one_that_nobody_holds(group):
    own = make_vial(make_lot(), code="V1", group=group)
    free = make_vial(own.lot, code="V2")

    accept(group, key="k1", raw=raw_submission(vial="v1"))
    accept(group, key="k2", raw=raw_submission(vial="v2"))

    named = Submission.objects.order_by("revision").values_list("vial", flat=True)
    assert list(named) == [own.pk, free.pk]


def test_a_group_signs_in_with_its_slip(group):
    assert intake.sign_in_group(slip_code(1).lower()).group_id == group.pk


def test_who_signs_in_while_the_slip_is_renewed_is_not_signed_in_by_the_new_one(group):
    signed_in = intake.sign_in_group(slip_code(1))

    rosters.issue_slip(group.pk, now=NOW)

    assert intake.slip_in_use(group.pk) != signed_in.mark


def test_a_code_that_is_on_no_slip_is_refused(group):
    with pytest.raises(NotAdmitted) as refusal:
        intake.sign_in_group(slip_code(2))

    assert "No slip has this code" in refusal.value.problems[0].message


def test_without_a_broker_a_submission_is_still_accepted(
    group, monkeypatch, django_capture_on_commit_callbacks, caplog
):
    def refuse(**_):
        raise ConnectionRefusedError

    # The broker is a stranger's program: the one thing that may be feigned.
    monkeypatch.setattr(tasks.work_off, "apply_async", refuse)

    with django_capture_on_commit_callbacks(execute=True):
        assert accept(group).created

    assert "No worker could be woken" in caplog.text


@pytest.mark.parametrize("typed", ["\ud800", "4\n5", "\x00", "9" * 5000])
def test_what_no_code_can_be_is_no_station(group, typed):
    with pytest.raises(NotAdmitted) as refused:
        accept(group, raw=raw_submission(station=typed))

    assert [one.where for one in refused.value.problems] == [("station",)]
    assert not Submission.objects.exists()


@pytest.mark.parametrize("typed", [" 4 ", "4\u200b", "4\x00"])
def test_a_station_is_known_however_its_code_is_typed(group, typed):
    accept(group, raw=raw_submission(station=typed))

    assert Submission.objects.get().station.code == "4"


def test_a_submission_takes_few_statements(group, django_assert_num_queries):
    # Lock the group, where a transaction alone does not; look at all of its bench.
    # Store: submission, readings, work. Around them: a savepoint and its release.
    lock = int(connection.features.has_select_for_update)
    with django_assert_num_queries(lock + 1 + 3 + 2):
        accept(group)


@pytest.fixture
def woken(monkeypatch):
    """How often a worker was woken."""
    messages = []
    monkeypatch.setattr(
        tasks.work_off, "apply_async", lambda **options: messages.append(options)
    )
    return messages


def test_of_several_that_wait_the_first_wakes_a_worker(
    group, woken, django_capture_on_commit_callbacks
):
    other = make_group(code="2", slip=slip_code(2))
    with django_capture_on_commit_callbacks(execute=True):
        accept(group)
    with django_capture_on_commit_callbacks(execute=True):
        accept(other)

    assert len(woken) == 1


@pytest.mark.parametrize(
    "elsewhere",
    [
        {"claimed_at": NOW, "claimed_by": "0" * 32},
        {"parked_at": NOW, "attempts": 3},
        {"attempts": 1},
    ],
    ids=["in a worker's hands", "set aside", "to be tried again later"],
)
def test_who_waits_alone_wakes_a_worker(
    group, woken, django_capture_on_commit_callbacks, elsewhere
):
    other = make_group(code="2", slip=slip_code(2))
    accept(other)
    PendingRecompute.objects.update(**elsewhere)

    with django_capture_on_commit_callbacks(execute=True):
        accept(group)

    assert len(woken) == 1
