"""Invariants stand in the database: it refuses what the rules forbid."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.db import IntegrityError, transaction

from results.checks import check_claim_lease, check_protocols
from results.issuing import issue_vial
from results.models import (
    Answer,
    AssignedValue,
    Course,
    Duty,
    Issue,
    Reading,
    Section,
    StoredEffects,
)
from results.rosters import issue_slip
from tests.factories import (
    NOW,
    make_course,
    make_group,
    make_lot,
    make_protocol,
    make_section,
    make_station,
    make_vial,
    submit,
)

pytestmark = pytest.mark.django_db


def refuses(constraint, make):
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        make()


def test_a_course_knows_when_iron_is_shown():
    refuses(
        "course_iron_shown_known",
        lambda: Course.objects.create(code="X", title="X", iron_shown="sometimes"),
    )


def test_a_section_is_due_after_it_opens():
    course = make_course()
    refuses(
        "section_due_after_opening",
        lambda: Section.objects.create(
            course=course, code="X", opens_at=NOW, due_at=NOW - timedelta(hours=1)
        ),
    )


def test_an_assistant_has_a_section_and_a_coordinator_none():
    section = make_section()
    user = User.objects.create_user("ada")
    refuses(
        "duty_section_fits_role",
        lambda: Duty.objects.create(
            user=user, course=section.course, role="coordinator", section=section
        ),
    )


def test_an_assigned_value_is_a_mass_fraction():
    lot = make_lot(iron_percent=None)
    refuses(
        "assigned_iron_percent_above_0_to_100",
        lambda: AssignedValue.objects.create(
            lot=lot, iron_percent=120, u_iron_percent=0, valid_from=NOW
        ),
    )


def test_a_vial_is_with_one_group_at_a_time():
    vial = make_vial(group=make_group(code="1"))
    other = make_group(code="2")
    refuses(
        "vial",
        lambda: Issue.objects.create(vial=vial, group=other, issued_at=NOW),
    )


def test_issuing_a_vial_again_ends_both_former_issues():
    first, second = make_group(code="1"), make_group(code="2")
    lot = make_lot()
    vial, other = make_vial(lot, "V1", group=first), make_vial(lot, "V2", group=second)

    assert issue_vial(vial_id=vial.pk, group_id=second.pk, now=NOW)

    live = Issue.objects.live()
    assert [(one.vial, one.group) for one in live] == [(vial, second)]
    assert Issue.objects.filter(vial=other, ended_at=NOW).exists()


def test_issuing_what_is_held_already_changes_nothing():
    group = make_group()
    vial = make_vial(group=group)

    assert not issue_vial(vial_id=vial.pk, group_id=group.pk, now=NOW)


def test_a_tube_is_read_once_per_replicate():
    make_station()
    accepted = submit(make_group())
    refuses(
        "reading",
        lambda: Reading.objects.create(
            submission_id=accepted.submission_id, position=99, tube="1", value=50
        ),
    )


def test_an_answer_has_an_iron_content_or_a_reason():
    make_station()
    accepted = submit(make_group())
    refuses(
        "answer_has_iron_or_a_reason",
        lambda: Answer.objects.create(
            submission_id=accepted.submission_id,
            computed_at=NOW,
            method="x",
            n_standards=0,
            n_unknowns=0,
        ),
    )


@pytest.mark.parametrize(
    ("constraint", "wrong"),
    [
        ("effects_rest_on_an_answer", {"n_answers": 0}),
        ("effects_version_from_1", {"version": 0}),
    ],
)
def test_stored_effects_rest_on_answers_and_have_a_version(constraint, wrong):
    fields = {"n_answers": 1, "version": 1, **wrong}
    course = make_course()
    refuses(
        constraint,
        lambda: StoredEffects.objects.create(
            course=course, fitted_at=NOW, latest_answer_at=NOW, document={}, **fields
        ),
    )


def test_no_text_form_of_a_lot_or_its_value_tells_the_value():
    lot = make_lot(iron_percent=12.34)

    texts = [str(lot), str(lot.assigned_values.get()), str(make_vial(lot))]

    assert not any("12.3" in text for text in texts)


def test_a_slip_is_kept_as_a_digest_only():
    group = make_group()

    code = issue_slip(group.pk, now=NOW)

    group.refresh_from_db()
    assert group.slip_digest
    assert code.replace("-", "") not in group.slip_digest


def test_a_drawn_code_that_is_taken_is_drawn_again():
    draws = iter([0] * 16 + [1] * 8)
    issue_slip(make_group(code="1").pk, now=NOW, draw_below=lambda _: next(draws))

    code = issue_slip(
        make_group(code="2").pk, now=NOW, draw_below=lambda _: next(draws)
    )

    assert code.startswith("444")


def test_a_lease_shorter_than_its_work_refuses_to_start(settings):
    settings.CLAIM_LEASE_S = 0.1

    (message,) = check_claim_lease(None)

    assert message.id == "results.E001"


def test_a_stored_protocol_that_cannot_be_read_is_reported():
    make_protocol(document={"analyte": "Fe"})

    (message,) = check_protocols(None, ["default"])

    assert message.id == "results.W001"
    assert "import_protocol" in message.hint
