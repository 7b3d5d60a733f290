"""A changed scheme and an allowance: who moves, who waits, nobody falls."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from results import grading
from results.models import Allowance, Grade, GradeEvent, Reading
from results.policy.marking import DEFAULT_DOCUMENT
from results.policy.marking.refusals import CannotGrade
from results.policy.refusals import NotAdmitted, NotFound
from results.recompute import enqueue
from results.summaries.previews import Draft, allowance_preview, scheme_preview
from tests.factories import NOW, actor, make_group, make_section, make_staff, worked_off
from tests.results.grading.classes import grade_of, make_graded, versions

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=5)
STRICT = {**DEFAULT_DOCUMENT, "worked_answer": {"points": 5, "per_slip": 5}}


@pytest.fixture
def graded():
    return make_graded(2, 1)


@pytest.fixture
def ada(graded):
    section, _ = graded
    return actor(make_staff("ada", course=section.course))


@pytest.fixture
def code(graded):
    section, _ = graded
    return section.course.code


def adopt(code, who, document=STRICT, *, seen_version=1):
    return grading.adopt_grading_scheme(
        code, document, seen_version=seen_version, actor=who, now=LATER
    )


def test_a_preview_says_who_would_move_and_moves_nobody(graded, ada, code):
    before = list(Grade.objects.order_by("pk").values())

    preview = scheme_preview(code, STRICT, rights=ada.rights)

    (mover,) = preview.movers
    assert (mover.group, mover.before, mover.after, mover.by) == (
        "3",
        Decimal("12.00"),
        Decimal("9.00"),
        Decimal("-3.00"),
    )
    assert (preview.n_groups, preview.n_up, preview.n_down) == (3, 0, 1)
    assert list(Grade.objects.order_by("pk").values()) == before


def test_drafts_follow_a_new_scheme_and_set_grades_wait(graded, ada, code):
    section, groups = graded
    seen = {groups[2].pk: 0}
    grading.accept_grades(section.pk, seen=seen, actor=ada, now=LATER)

    adopted = adopt(code, ada, {**STRICT, "completeness": {"points": 1}})

    assert (adopted.version, adopted.n_changed) == (2, 3)
    assert grade_of(groups[0]).suggested_points == Decimal(18)
    accepted = grade_of(groups[2])
    assert (accepted.final_points, accepted.max_points) == (Decimal(12), Decimal(20))
    assert accepted.proposed_points == Decimal(7)
    assert accepted.proposed_why == "grading scheme, version 2"


def test_a_proposal_of_a_new_scheme_brings_its_maximum(graded, ada, code):
    section, groups = graded
    seen = {groups[0].pk: 0}
    grading.accept_grades(section.pk, seen=seen, actor=ada, now=LATER)
    adopt(code, ada, {**DEFAULT_DOCUMENT, "completeness": {"points": 10}})

    grading.decide_proposal(
        groups[0].pk, take=True, reason="", seen=2, actor=ada, now=LATER
    )

    grade = grade_of(groups[0])
    assert (grade.final_points, grade.max_points) == (Decimal(27), Decimal(27))
    assert grade.scheme.version == 2


def test_a_scheme_with_problems_is_not_adopted(graded, ada, code):
    with pytest.raises(NotAdmitted):
        adopt(code, ada, {"title": ""})


def test_only_a_coordinator_adopts_a_scheme(graded, code):
    section, _ = graded
    ben = actor(make_staff("ben", role="assistant", section=section))

    with pytest.raises(NotFound):
        adopt(code, ben)
    with pytest.raises(NotFound):
        scheme_preview(code, STRICT, rights=ben.rights)


def full_accuracy(section):
    return Draft("section", section.pk, "full_accuracy", None, "stills ran dry")


def grant(code, who, draft):
    preview = allowance_preview(code, draft, rights=who.rights)
    return grading.grant_allowance(code, draft, seen=preview.mark, actor=who, now=LATER)


def test_an_allowance_raises_released_grades_and_keeps_its_list(graded, ada, code):
    section, groups = graded
    seen = versions(section)
    grading.accept_grades(section.pk, seen=seen, actor=ada, now=LATER)
    seen = versions(section)
    grading.release_section(section.pk, seen=seen, actor=ada, now=LATER)

    granted = grant(code, ada, full_accuracy(section))

    grade = grade_of(groups[2])
    assert (granted.n_changed, grade.final_points) == (1, Decimal(18))
    assert (grade.state, grade.is_override) == ("released", False)
    event = GradeEvent.objects.filter(grade=grade).last()
    assert (event.kind, event.by_name, event.before, event.after) == (
        "allowed",
        "ada",
        Decimal(12),
        Decimal(18),
    )
    assert event.why == "allowance for section A1: stills ran dry"
    assert Allowance.objects.get().changes[0]["group"] == "3"


def test_a_grade_set_by_hand_waits_for_a_word_on_an_allowance(graded, ada, code):
    section, groups = graded
    grading.override_grade(
        groups[2].pk, points="19", reason="page", seen=0, actor=ada, now=LATER
    )

    grant(code, ada, full_accuracy(section))

    grade = grade_of(groups[2])
    assert (grade.final_points, grade.proposed_points) == (Decimal(19), Decimal(18))
    assert Allowance.objects.get().changes[0]["waits"] is True


def test_an_allowance_holds_for_what_comes_later(graded, ada, code):
    section, groups = graded
    grant(code, ada, full_accuracy(section))
    before = grade_of(groups[2]).suggested_points

    adopt(code, ada, {**DEFAULT_DOCUMENT, "title": "Renamed"})

    assert grade_of(groups[2]).suggested_points == before == Decimal(18)


def test_an_allowance_concerns_only_what_it_is_for(graded, ada, code):
    section, _ = graded
    other = make_section(section.course, "B1")

    preview = allowance_preview(code, full_accuracy(other), rights=ada.rights)

    assert (preview.movers, preview.n_groups) == ((), 0)


@pytest.mark.parametrize("what", ["lot", "station"])
def test_a_lot_or_a_station_is_allowed_for_alike(graded, ada, code, what):
    section, groups = graded
    submission = groups[2].submissions.get()
    target = submission.vial.lot_id if what == "lot" else submission.station_id
    draft = replace(full_accuracy(section), for_what=what, target_id=target)

    grant(code, ada, draft)

    assert grade_of(groups[2]).suggested_points == Decimal(18)


def test_what_was_not_looked_at_is_not_granted(graded, ada, code):
    section, groups = graded
    draft = full_accuracy(section)
    mark = allowance_preview(code, draft, rights=ada.rights).mark
    grading.override_grade(
        groups[2].pk, points="19", reason="page", seen=0, actor=ada, now=LATER
    )

    with pytest.raises(CannotGrade, match="not the one you looked at"):
        grading.grant_allowance(code, draft, seen=mark, actor=ada, now=LATER)

    assert not Allowance.objects.exists()


def test_grades_ignore_who_the_group_is(graded):
    section, groups = graded
    twin = make_group(
        make_section(section.course, "Z9"), "zz", students=("Anybody Else",)
    )
    copy = groups[0].submissions.get()
    readings = list(copy.readings.all())
    copy.pk, copy.group = None, twin
    copy.save()
    Reading.objects.bulk_create(
        Reading(
            submission=copy,
            position=one.position,
            tube=one.tube,
            value=one.value,
        )
        for one in readings
    )
    enqueue([copy.pk], reason="a twin", now=NOW)

    worked_off()

    parts = grade_of(groups[0]).suggested["parts"]
    assert grade_of(twin).suggested["parts"] == parts
