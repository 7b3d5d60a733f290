"""What is no sheet, or not this group's, and what the database refuses."""

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from results.models import DraftEdit, SheetDraft, Submission
from tests.factories import NOW, make_bench, slip_code
from tests.frontend.benches import typed_sheet
from tests.frontend.draft_messages import LABEL, NOW_MS, PHONES, URL, typed

pytestmark = pytest.mark.django_db


def test_what_was_typed_for_one_group_is_not_taken_for_another(client, bench):
    answer = typed(client, "station", "4", group="IRON-1/A1/2")

    assert (answer.status_code, answer.json()) == (409, {"group": LABEL})
    assert not SheetDraft.objects.exists()


def test_a_sheet_of_one_group_is_not_sent_for_another(client, bench):
    sheet = typed_sheet(for_group="IRON-1/A1/2")

    shown = client.post(reverse("bench-sheet"), sheet)
    told = client.post(
        reverse("bench-sheet"), sheet, headers={"accept": "application/json"}
    )

    assert (shown.status_code, told.status_code) == (409, 409)
    assert b"Sign in with your own slip" in shown.content
    assert not Submission.objects.exists()


def test_nobody_without_a_slip_reaches_a_draft(client):
    make_bench(slip=slip_code())

    answer = typed(client, "station", "4")

    assert answer.status_code == 401
    assert "slip" in answer.json()["sentence"]
    assert not SheetDraft.objects.exists()


def test_a_draft_is_not_taken_from_another_site(bench):
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = Client().cookies
    page = strict.get(reverse("home"))
    token = page.cookies["csrftoken"].value
    strict.post(
        reverse("home"), {"slip_code": slip_code(), "csrfmiddlewaretoken": token}
    )

    assert typed(strict, "station", "4").status_code == 403
    assert not SheetDraft.objects.exists()


@pytest.mark.parametrize(
    ("body", "status"),
    [("{", 400), ("[]", 422), ("[" * 50_000, 400), ('"' + "a" * 70_000 + '"', 413)],
)
def test_what_is_no_sheet_is_refused_with_a_sentence(client, bench, body, status):
    answer = client.post(URL, body, content_type="application/json")

    assert answer.status_code == status
    assert answer.json()["sentence"].endswith(".")


def test_a_sheet_has_only_so_many_boxes(client, bench):
    for start in range(0, 400, 200):
        edits = [
            {"field": f"box-{n}", "value": "1", "stamp_ms": NOW_MS}
            for n in range(start, start + 200)
        ]
        assert typed(client, "", "", edits=edits).status_code == 200

    assert typed(client, "one more", "1").status_code == 422
    assert DraftEdit.objects.count() == 400


def test_a_script_is_told_problems_with_their_boxes(client, bench):
    answer = client.post(
        reverse("bench-sheet"),
        typed_sheet(standard_mass_g="210"),
        headers={"accept": "application/json"},
    )

    told = answer.json()
    assert answer.status_code == 422
    assert told["problems"][0]["anchor"] == "standard_mass_g"
    assert 'href="#standard_mass_g"' in told["html"]


@pytest.mark.parametrize(
    ("constraint", "fields"),
    [
        ("draft_edit_standing_once_per_field", {"stamp": 2}),
        ("draft_edit_once_per_phone_and_stamp", {"is_standing": False}),
        ("draft_edit_field_named", {"field": ""}),
        (
            "draft_edit_sent_if_standing",
            {"field": "x", "is_standing": False, "sent_with": 1},
        ),
    ],
)
def test_the_database_holds_the_rules_of_drafts(bench, constraint, fields):
    draft = SheetDraft.objects.create(group=bench.group)
    edit = {
        "draft": draft,
        "field": "station",
        "value": "4",
        "phone": PHONES[0],
        "stamp": 1,
        "edited_at": NOW,
        "is_standing": True,
    }
    DraftEdit.objects.create(**edit)

    with transaction.atomic(), pytest.raises(IntegrityError) as refused:
        DraftEdit.objects.create(**{**edit, **fields})

    # SQLite names the columns of a unique index, not the index itself.
    assert constraint in str(refused.value) or "UNIQUE" in str(refused.value)


def test_a_group_has_one_draft(bench):
    SheetDraft.objects.create(group=bench.group)

    with transaction.atomic(), pytest.raises(IntegrityError):
        SheetDraft.objects.create(group=bench.group)
