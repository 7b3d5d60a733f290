"""Protocols and policies that coordinators set, and how far a course is."""

import pytest

from results.models import Protocol
from results.policy.access import IronShown
from results.policy.preparing_refusals import ProtocolChanged
from results.policy.refusals import NotAdmitted, NotFound
from results.rosters import adopt_protocol_seen, keep_policies
from results.summaries.preparing.hub import prepared_course
from results.summaries.preparing.policies import Policies, course_policies
from results.summaries.preparing.protocol import course_protocols
from results.summaries.preparing.protocol_look import protocol_look
from tests.factories import (
    NOW,
    actor,
    make_bench,
    make_course,
    make_lot,
    make_staff,
    make_vial,
    protocol_document,
    submit,
)
from tests.frontend.benches import make_class

pytestmark = pytest.mark.django_db
# Course; protocols; schemes; stations; sections; groups; lots; vials; students; duties.
HUB_QUERIES = 10


@pytest.fixture
def ada():
    make_course()
    return actor(make_staff("ada"))


def adopt(person, document, *, seen=1, title=""):
    return adopt_protocol_seen(
        "IRON-1", document, title=title, seen_version=seen, actor=person, now=NOW
    )


def look(person, **changes):
    return protocol_look(
        "IRON-1",
        protocol_document(**changes),
        assumed_percent=(6.0, 16.0),
        rights=person.rights,
        now=NOW,
    )


def test_a_version_in_use_stays_and_the_next_one_holds(ada):
    bench = make_bench(section=None, code="IRON-9")
    submit(bench.group)
    before = Protocol.objects.get(course=bench.course).document
    eve = actor(make_staff("eve", course=bench.course))

    adopt_protocol_seen(
        "IRON-9",
        protocol_document(develop_min=20),
        title="longer",
        seen_version=1,
        actor=eve,
        now=NOW,
    )

    newest, first = course_protocols("IRON-9", rights=eve.rights).versions
    assert (newest.version, newest.is_in_force, newest.n_submissions) == (2, True, 0)
    assert newest.changes == ("Minutes until the colour is read: 10 → 20",)
    assert (first.n_submissions, first.is_in_force) == (1, False)
    assert bench.group.submissions.get().protocol.document == before


def test_a_version_adopted_meanwhile_is_not_passed_over(ada):
    adopt(ada, protocol_document(develop_min=20))

    with pytest.raises(ProtocolChanged, match="Version 2 was adopted meanwhile"):
        adopt(ada, protocol_document(develop_min=30))

    assert Protocol.objects.count() == 2


def test_a_double_click_adopts_once(ada):
    document = protocol_document(develop_min=20)

    assert adopt(ada, document).created
    assert not adopt(ada, document).created
    assert Protocol.objects.count() == 2


def test_a_document_with_problems_and_a_long_title_are_refused(ada):
    with pytest.raises(NotAdmitted):
        adopt(ada, protocol_document(standards=[]))
    with pytest.raises(NotAdmitted) as caught:
        adopt(ada, protocol_document(develop_min=20), title="x" * 121)

    assert caught.value.problems[0].where == ("title",)


def test_only_coordinators_adopt(ada):
    with pytest.raises(NotFound):
        adopt(actor(make_staff("ben", role=None)), protocol_document())


def test_a_former_version_can_be_started_from(ada):
    adopt(ada, protocol_document(develop_min=20))

    found = course_protocols("IRON-1", rights=ada.rights, version=1)

    assert (found.version, found.start_version) == (2, 1)
    assert found.start["develop_min"] == 10


def test_what_is_drawn_is_for_the_lots_of_the_course(ada):
    make_lot(code="L1", iron_percent=8.0)
    make_lot(code="L2", iron_percent=14.0)
    make_lot(code="L3", iron_percent=None)

    found = look(ada)

    assert found.has_lots
    assert [one.name for one in found.contents] == ["lot L1", "lot L2"]
    # 0.25 g of 8 and 14 % in 250 mL, 10 to 250, 25 to 100.
    assert [one.reads.mg_L for one in found.contents] == pytest.approx([0.8, 1.4])
    assert found.unknown_flasks[0].mg_L_high == pytest.approx(140.0)


def test_without_lots_a_range_is_drawn(ada):
    found = look(ada)

    assert not found.has_lots
    assert [one.iron_percent for one in found.contents] == [6.0, 16.0]
    assert found.standard_flasks[1].ratio == 10


def test_tubes_of_several_dilutions_are_told_apart(ada):
    tubes = [
        {"tube": tube, "take_mL": take, "make_up_mL": 100}
        for tube, take in (("U1", 25), ("U2", 25), ("U3", 10))
    ]
    unknown = {**protocol_document()["unknown"], "tubes": tubes}

    names = [one.name for one in look(ada, unknown=unknown).contents]

    assert names[:2] == ["iron at its least, U1, U2", "iron at its least, U3"]


def policies(**changes):
    fields = {
        "iron_shown": IronShown.ON_RELEASE,
        "own_answer_first": True,
        "assistants_see_assigned": False,
        "error_shown": False,
        "vial_labels_checked": False,
    }
    return Policies(**{**fields, **changes})


def test_policies_are_kept(ada):
    keep_policies("IRON-1", policies(), actor=ada)

    assert course_policies("IRON-1", rights=ada.rights).policies == policies()


def test_labels_are_not_checked_while_some_have_no_sign(ada):
    make_vial(code="417")

    with pytest.raises(NotAdmitted) as caught:
        keep_policies("IRON-1", policies(vial_labels_checked=True), actor=ada)

    (problem,) = caught.value.problems
    assert problem.where == ("vial_labels_checked",)
    assert "1 vial has a label without a check sign (417)" in problem.message


@pytest.mark.parametrize("n_groups", [1, 6])
def test_the_hub_costs_the_same_however_large_a_course_is(
    n_groups, django_assert_num_queries
):
    section = make_bench().section
    make_class(section, n_groups, first=11, submitted=False)
    rights = actor(make_staff("ada")).rights

    with django_assert_num_queries(HUB_QUERIES):
        found = prepared_course("IRON-1", rights=rights)

    assert found.n_groups == n_groups + 1
    assert found.n_sections_without_assistant == 1
