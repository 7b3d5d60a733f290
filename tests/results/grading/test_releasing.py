"""Releasing, undoing, and what changes afterwards: nothing without a person."""

from datetime import timedelta
from decimal import Decimal

import pytest

from results import grading
from results.models import Answer, Grade, GradeEvent, Section, Submission
from results.policy.marking.refusals import BadGrade, CannotGrade, StaleGrade
from results.recompute import enqueue
from tests.factories import NOW, actor, make_staff, raw_submission, submit, worked_off
from tests.results.grading.classes import OWN, grade_of, make_graded, versions

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=5)


@pytest.fixture
def graded():
    return make_graded(2, 1)


@pytest.fixture
def ben(graded):
    section, _ = graded
    return actor(make_staff("ben", role="assistant", section=section))


def accept_all(section, who):
    return grading.accept_grades(
        section.pk, seen=versions(section), actor=who, now=LATER
    )


def release(section, who, **how):
    how = {"seen": versions(section), "now": LATER, **how}
    return grading.release_section(section.pk, actor=who, **how)


@pytest.fixture
def released(graded, ben):
    section, groups = graded
    accept_all(section, ben)
    release(section, ben)
    return groups


def worse_readings(group, *, key="worse"):
    """Send and compute readings that earn less."""
    raw = raw_submission(percent_T={"3": 40.0, "U1": 50.0}, own=OWN)
    submit(group, raw, key=key, at=LATER)
    worked_off()


def test_a_section_is_released_once_all_are_accepted(graded, ben):
    section, _ = graded
    with pytest.raises(CannotGrade, match="groups 1, 2, 3 not accepted yet"):
        release(section, ben)

    accept_all(section, ben)

    assert release(section, ben).n_grades == 3
    assert Section.objects.get().released_at == LATER


def test_a_second_press_on_release_does_nothing(graded, ben):
    section, groups = graded
    accept_all(section, ben)
    seen = versions(section)

    first = release(section, ben, seen=seen)
    second = release(section, ben, seen=seen, now=LATER + timedelta(seconds=1))

    assert (first.n_grades, second.n_grades) == (3, 0)
    assert GradeEvent.objects.filter(kind="released").count() == 3
    assert {grade_of(group).released_at for group in groups} == {LATER}


def test_those_that_are_accepted_can_go_first(graded, ben):
    section, groups = graded
    grading.accept_unflagged(section.pk, seen=versions(section), actor=ben, now=LATER)

    assert release(section, ben, only_accepted=True).n_grades == 2
    assert grade_of(groups[2]).state == "draft"


def test_what_changed_unseen_is_not_released(graded, ben):
    section, groups = graded
    accept_all(section, ben)
    seen = versions(section)
    grading.comment_grade(groups[0].pk, comment="Well.", seen=1, actor=ben, now=LATER)

    with pytest.raises(StaleGrade, match="comment changed"):
        release(section, ben, seen=seen)

    assert not Grade.objects.filter(state="released").exists()


def test_a_release_is_undone_within_the_day(graded, released, ben):
    section, _ = graded
    soon = LATER + timedelta(hours=23)

    undone = grading.undo_release(section.pk, actor=ben, now=soon)

    assert undone.n_grades == 3
    assert Section.objects.get().released_at is None
    assert {grade_of(group).state for group in released} == {"accepted"}
    assert {grade_of(group).final_points for group in released} == {
        Decimal(20),
        Decimal(12),
    }


def test_a_day_later_a_release_stands(graded, released, ben):
    section, _ = graded

    with pytest.raises(CannotGrade, match="within the last day"):
        grading.undo_release(
            section.pk, actor=ben, now=LATER + timedelta(days=1, seconds=1)
        )


def test_computing_anew_without_change_changes_nothing(released):
    before = list(Grade.objects.order_by("pk").values())
    enqueue(Submission.objects.values_list("pk", flat=True), reason="x", now=NOW)

    worked_off()

    assert list(Grade.objects.order_by("pk").values()) == before
    assert Answer.objects.filter(computations=2).count() == 3


def test_a_recompute_that_would_change_a_released_grade_waits(released):
    worse_readings(released[0])

    grade = grade_of(released[0])
    assert (grade.state, grade.final_points) == ("released", Decimal("20.00"))
    assert grade.proposed_points < 20
    event = GradeEvent.objects.filter(grade=grade).last()
    assert (event.kind, event.by_name) == ("proposed", "the computation")


def test_a_proposal_is_made_once(released):
    worse_readings(released[0])
    enqueue(Submission.objects.values_list("pk", flat=True), reason="x", now=NOW)

    worked_off()

    assert GradeEvent.objects.filter(kind="proposed").count() == 1


def test_a_proposal_that_is_taken_becomes_the_grade(released, ben):
    worse_readings(released[0])
    proposed = grade_of(released[0])

    grading.decide_proposal(
        released[0].pk,
        take=True,
        reason="",
        seen=proposed.version,
        actor=ben,
        now=LATER,
    )

    grade = grade_of(released[0])
    assert grade.final_points == proposed.proposed_points
    assert (grade.state, grade.proposed_at) == ("released", None)


def test_a_proposal_that_is_declined_does_not_come_again(released, ben):
    worse_readings(released[0])
    decision = {"take": False, "seen": 3, "actor": ben, "now": LATER}

    with pytest.raises(BadGrade, match="why the proposed change is declined"):
        grading.decide_proposal(released[0].pk, reason="", **decision)
    grading.decide_proposal(released[0].pk, reason="first set counts", **decision)
    enqueue(Submission.objects.values_list("pk", flat=True), reason="x", now=NOW)
    worked_off()

    grade = grade_of(released[0])
    assert (grade.final_points, grade.proposed_at) == (Decimal(20), None)
    with pytest.raises(CannotGrade, match="Nothing is proposed"):
        grading.decide_proposal(
            released[0].pk,
            reason="x",
            take=True,
            seen=grade.version,
            actor=ben,
            now=LATER,
        )


def test_a_proposal_for_an_accepted_grade_is_decided_before_the_release(graded, ben):
    section, groups = graded
    accept_all(section, ben)
    worse_readings(groups[0])

    with pytest.raises(CannotGrade, match="proposed for group 1"):
        release(section, ben)

    assert not Grade.objects.filter(state="released").exists()


def test_taking_an_acceptance_back_takes_the_proposal_over(graded, ben):
    section, groups = graded
    accept_all(section, ben)
    worse_readings(groups[0])
    grade = grade_of(groups[0])

    grading.take_back(groups[0].pk, seen=grade.version, actor=ben, now=LATER)

    assert grade_of(groups[0]).suggested_points == grade.proposed_points


def test_a_group_asks_for_a_recheck_and_is_answered_with_a_reason(released, ben):
    group = released[0]
    grading.ask_for_recheck(group.pk, text="Tube 3 was read twice.", now=LATER)
    request = grade_of(group).rechecks.get()

    with pytest.raises(BadGrade, match="the answer and its reason"):
        grading.answer_recheck(request.pk, answer="", actor=ben, now=LATER)
    grading.answer_recheck(request.pk, answer="Seen; it stays.", actor=ben, now=LATER)

    request.refresh_from_db()
    assert (request.answer, request.answered_by_id) == ("Seen; it stays.", ben.user_id)
    with pytest.raises(CannotGrade, match="ben answered at 19:00 already"):
        grading.answer_recheck(request.pk, answer="Other.", actor=ben, now=LATER)


def test_one_request_at_a_time_and_only_after_the_release(graded, ben):
    section, (group, *_) = graded
    with pytest.raises(CannotGrade, match="no released grade"):
        grading.ask_for_recheck(group.pk, text="Please.", now=LATER)
    accept_all(section, ben)
    release(section, ben)
    with pytest.raises(BadGrade, match="what should be looked at"):
        grading.ask_for_recheck(group.pk, text=" ", now=LATER)

    grading.ask_for_recheck(group.pk, text="Please.", now=LATER)

    with pytest.raises(CannotGrade, match="asked already"):
        grading.ask_for_recheck(group.pk, text="Again.", now=LATER)
