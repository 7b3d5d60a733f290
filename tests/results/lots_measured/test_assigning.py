"""A lot's value from a record: the first one at once, another one as a proposal."""

from datetime import timedelta

import pytest

from results import grading, issuing
from results.models import AssignedValue, PendingRecompute
from results.policy.marking.refusals import CannotGrade
from results.policy.refusals import NotAdmitted, NotFound
from results.summaries.value_preview import value_preview
from tests.factories import NOW, actor, make_staff
from tests.results.grading.classes import grade_of, make_graded
from tests.results.lots import enter, percents, titrations

pytestmark = pytest.mark.django_db
PAIRS = [12.0, 12.04, 12.06, 12.1, 11.98, 12.02]
VIALS = ["a", "a", "b", "b", "c", "c"]


def assign(lot, assay_id, who, *, at=NOW, with_vials=True, seen=None):
    wanted = grading.FromRecord(lot.pk, assay_id, at, with_vials=with_vials)
    value = grading.value_of_record("IRON-1", wanted, rights=who.rights)
    seen = seen or value_preview("IRON-1", value, rights=who.rights).mark
    grading.assign_from_record(
        "IRON-1", wanted, reason="assayed", seen=seen, actor=who, now=NOW
    )
    return AssignedValue.objects.order_by("-pk").first()


def test_a_first_value_rests_on_its_records(lot, ada):
    check = enter(lot, percents(*PAIRS, vials=VIALS), ada)
    record = enter(lot, titrations((0.80, 17.3), (0.81, 17.51), (0.79, 17.09)), ada)

    value = assign(lot, record, ada)

    assert (value.assay_id, value.homogeneity_id) == (record, check)
    assert value.iron_percent == pytest.approx(11.99, abs=0.02)
    assert not PendingRecompute.objects.exists()


def test_what_vials_differ_by_may_be_left_out(lot, ada):
    record = enter(lot, percents(*PAIRS, vials=VIALS), ada)

    with_vials = assign(lot, record, ada)
    without = assign(lot, record, ada, at=NOW + timedelta(days=1), with_vials=False)

    assert without.u_iron_percent < with_vials.u_iron_percent
    assert without.homogeneity_id is None


def test_an_uncertainty_that_is_not_known_is_not_assigned(lot, ada):
    record = enter(lot, percents(12.0), ada)

    with pytest.raises(NotAdmitted) as refused:
        assign(lot, record, ada)

    assert "one result says nothing" in refused.value.problems[0].message
    assert not AssignedValue.objects.exists()


def test_a_record_that_was_replaced_gives_no_value(lot, ada):
    record = enter(lot, percents(21.0, 12.0), ada)
    fix = issuing.Correction(record, "typing")
    enter(lot, percents(12.0, 12.01), ada, correction=fix)

    with pytest.raises(NotFound):
        assign(lot, record, ada)


def test_another_value_changes_drafts_and_is_computed_anew():
    section, groups = make_graded(2, 0)
    ada = actor(make_staff("ada", course=section.course))
    lot = section.course.lots.get()
    AssignedValue.objects.update(valid_from=NOW - timedelta(days=1))
    before = grade_of(groups[0]).suggested_points
    record = enter(lot, percents(12.6, 12.58, 12.62, 12.6), ada)

    assign(lot, record, ada, at=NOW - timedelta(seconds=1))

    assert grade_of(groups[0]).suggested_points < before
    assert PendingRecompute.objects.count() == 2


def test_a_value_that_nobody_looked_at_is_refused(lot, ada):
    record = enter(lot, percents(12.0, 12.1), ada)

    with pytest.raises(CannotGrade):
        assign(lot, record, ada, seen="another")
