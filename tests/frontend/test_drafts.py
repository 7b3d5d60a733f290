import json

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.urls import reverse

from results.models import Answer, DraftEdit, SheetDraft, Submission
from tests.factories import NOW, make_bench, make_group, slip_code, worked_off
from tests.frontend.benches import sign_in, typed_sheet

pytestmark = pytest.mark.django_db

URL = reverse("bench-draft")
PHONES = ("aaaaaaaa", "bbbbbbbb")
# 4 March 2025, 14:00 UTC, by the clock of the phone.
NOW_MS = 1_741_096_800_000
LABEL = "IRON-1/A1/1"
# Statements of a test's own transaction: PostgreSQL locks a row, each has a savepoint.
LOCK = int(connection.features.has_select_for_update)
SAVEPOINT = 2


@pytest.fixture(autouse=True)
def _now(time_machine):
    time_machine.move_to(NOW, tick=False)


@pytest.fixture
def bench(client):
    bench = make_bench(slip=slip_code())
    sign_in(client)
    return bench


def typed(client, field, value, *, ago_s=0, phone=PHONES[0], skew_ms=0, **changes):
    now_ms = NOW_MS + skew_ms
    edit = {"field": field, "value": value, "stamp_ms": now_ms - 1000 * ago_s}
    document = {
        "group": LABEL,
        "phone": phone,
        "sent_ms": now_ms,
        "edits": [edit],
        **changes,
    }
    return client.post(
        URL,
        json.dumps(document),
        content_type="application/json",
        headers={"accept": "application/json"},
    )


def test_two_phones_meet_and_the_later_edit_stands(client, bench):
    typed(client, "value/3/1", "44", ago_s=60, phone=PHONES[1])
    answer = typed(client, "value/3/1", "43,5", ago_s=300).json()

    box = answer["boxes"]["value/3/1"]
    assert (box["value"], box["phone"]) == ("44", PHONES[1])
    assert [(one["value"], one["phone"]) for one in box["earlier"]] == [
        ("43,5", PHONES[0])
    ]


def test_a_fast_clock_does_not_win(client, bench):
    typed(client, "value/3/1", "43", ago_s=600, skew_ms=3 * 3_600_000)
    answer = typed(client, "value/3/1", "44", ago_s=60, phone=PHONES[1]).json()

    assert answer["boxes"]["value/3/1"]["value"] == "44"


def test_an_edit_of_a_broken_clock_is_overtaken(client, bench, time_machine):
    typed(client, "value/3/1", "43", ago_s=-1_000_000_000)
    time_machine.shift(5)
    answer = typed(client, "value/3/1", "44", skew_ms=5000, phone=PHONES[1]).json()

    assert answer["boxes"]["value/3/1"]["value"] == "44"


def test_nothing_is_answered_while_nothing_changed(client, bench):
    seen = typed(client, "station", "4").json()["seen"]

    unchanged = client.get(URL, {"seen": seen})
    typed(client, "station", "5", phone=PHONES[1])
    changed = client.get(URL, {"seen": seen})

    assert (unchanged.status_code, unchanged.content) == (204, b"")
    assert changed.json()["boxes"]["station"]["value"] == "5"


def test_a_repeated_message_changes_nothing(client, bench):
    marks = {typed(client, "station", "4").json()["seen"] for _ in range(2)}

    assert len(marks) == 1
    assert DraftEdit.objects.count() == 1


def test_what_was_typed_stands_on_every_page_of_the_sheet(client, bench):
    typed(client, "value/U1/1", "43,5")
    typed(client, "left_out/2", "1")

    content = client.get(reverse("bench-sheet")).content

    assert b'value="43,5"' in content
    assert b'name="left_out" value="2" checked' in content


def test_what_a_submission_has_is_no_draft_any_more(client, bench):
    typed(client, "standard_mass_g", "0,2100", phone=PHONES[1])
    typed(client, "standard_mass_g", "0,2000", ago_s=600)

    client.post(reverse("bench-sheet"), typed_sheet(standard_mass_g="0.21"))

    boxes = client.get(URL).json()["boxes"]
    assert boxes["standard_mass_g"]["sent"]
    assert boxes["standard_mass_g"]["earlier"] == []
    assert b"0,2000" not in client.get(reverse("bench-sheet")).content


def test_what_was_sent_without_reaching_the_sheet_is_on_it_for_the_other_phone(
    client, bench
):
    typed(client, "value/3/1", "61,5", phone=PHONES[1])

    client.post(reverse("bench-sheet"), typed_sheet(standard_mass_g="0,2150"))

    boxes = client.get(URL).json()["boxes"]
    mass = boxes["standard_mass_g"]
    assert (mass["value"], mass["sent"], mass["phone"]) == ("0.215", True, "")
    assert (boxes["value/3/1"]["value"], boxes["value/3/1"]["sent"]) == ("61,5", False)
    assert "own_slope" not in boxes


def test_what_came_too_late_for_a_submission_is_on_the_next_sheet(client, bench):
    typed(client, "value/3/1", "61,5", phone=PHONES[1])

    client.post(reverse("bench-sheet"), typed_sheet())
    content = client.get(reverse("bench-sheet")).content

    assert b"Send revision 2" in content
    assert b'value="61,5"' in content


def test_a_draft_is_computed_and_graded_by_nobody(client, bench):
    typed(client, "value/3/1", "43,5")

    worked_off()

    assert Submission.objects.count() == Answer.objects.count() == 0


def test_a_group_sees_its_own_draft_only(client, bench):
    make_group(bench.section, "2", slip=slip_code(2))
    other = Client()
    sign_in(other, 2)
    typed(client, "station", "4")

    assert other.get(URL).json()["boxes"] == {}


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


@pytest.mark.parametrize("n_boxes", [1, 100])
def test_typing_takes_few_queries_for_one_box_as_for_many(
    client, bench, n_boxes, django_assert_num_queries
):
    edits = [
        {"field": f"box-{n}", "value": "1", "stamp_ms": NOW_MS} for n in range(n_boxes)
    ]
    typed(client, "station", "4")

    # What phones send most often: a whole course types within minutes. Session, who
    # is at the door, the draft with its edits; stored are its version and new edits.
    with django_assert_num_queries(LOCK + 3 + 2 + SAVEPOINT):
        typed(client, "", "", edits=edits)
    with django_assert_num_queries(LOCK + 3 + SAVEPOINT):
        typed(client, "", "", edits=edits)


def test_the_first_box_takes_no_more_queries(client, bench, django_assert_num_queries):
    with django_assert_num_queries(LOCK + 3 + 2 + SAVEPOINT):
        typed(client, "station", "4")


def test_a_phone_that_looks_takes_two_queries(client, bench, django_assert_num_queries):
    seen = typed(client, "station", "4").json()["seen"]

    with django_assert_num_queries(2):
        assert client.get(URL, {"seen": seen}).status_code == 204
    with django_assert_num_queries(3):
        assert client.get(URL, {"seen": ""}).status_code == 200


def test_sending_a_typed_sheet_takes_few_queries(
    client, bench, django_assert_num_queries
):
    typed(client, "value/3/1", "61,5", phone=PHONES[1])
    typed(client, "standard_mass_g", "0,2100")

    # As for a program, with session, door and what the draft is marked with.
    with django_assert_num_queries(LOCK + 2 + 4 + 3 + SAVEPOINT):
        client.post(reverse("bench-sheet"), typed_sheet())


def test_the_answer_to_what_was_typed_is_what_a_look_then_finds(
    client, bench, time_machine
):
    def same_as_found(answer):
        names = ("seen", "revision", "received_ms", "boxes")
        told, found = answer.json(), client.get(URL).json()
        assert [told[name] for name in names] == [found[name] for name in names]

    same_as_found(typed(client, "standard_mass_g", "0,2", ago_s=900))
    same_as_found(typed(client, "standard_mass_g", "0,21", ago_s=890))
    same_as_found(typed(client, "standard_mass_g", "0,22", phone=PHONES[1], ago_s=900))
    client.post(reverse("bench-sheet"), typed_sheet())
    same_as_found(typed(client, "standard_mass_g", "0,23", phone=PHONES[1], ago_s=60))
    same_as_found(typed(client, "standard_mass_g", "0,24", ago_s=300))
    time_machine.shift(5)
    same_as_found(typed(client, "", "", edits=[]))


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
