"""The roster's pages: a file, what its columns are, what changes, carrying it out."""

import pytest
from django.urls import reverse
from django.utils.html import escape
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from results.models import Group, Student
from results.policy.roster.entries import tidy
from results.policy.roster.grid import LARGEST_MB
from tests.factories import make_group, make_staff
from tests.frontend.rosters import CSV, fields_of, people, press, upload, words
from tests.policy.roster.bundles import bundle, enrolment, room
from tests.results.roster.courses import (
    at_the_bench,
    places,
)

pytestmark = pytest.mark.django_db


def test_a_file_is_matched_listed_and_carried_out(coordinator):
    before = at_the_bench()

    matched = upload(coordinator, CSV)
    assert "Is this what the columns are?" in words(matched)
    assert "Read as UTF-8, cells parted by comma." in words(matched)
    listed = press(coordinator, matched)
    assert "1 is new and 1 changes section; nothing is changed yet" in words(listed)
    assert places()["Ivo Marsh"] == "A1 1"
    done = press(coordinator, listed, carry="1")

    assert done.status_code == 302
    assert "Carried out: 2 changes, as listed." in people(coordinator)
    assert (places()["Ivo Marsh"], places()["New Birk"]) == ("A2 -", "A1 -")
    assert at_the_bench() == before


def test_columns_of_the_files_own_are_matched_by_hand(coordinator):
    matched = upload(coordinator, "who;mail;code\nNew Birk;n@college.example;9\n")
    refused = press(coordinator, matched)
    assert refused.status_code == 422
    assert "Say which column is the whole name" in words(refused)

    fields = {"column-0": "name", "column-2": "number", "section": "A2"}
    done = press(coordinator, press(coordinator, matched, **fields), carry="1")

    assert done.status_code == 302
    assert places()["New Birk"] == "A2 -"


def test_who_is_not_in_a_whole_roster_leaves(coordinator):
    listed = press(coordinator, upload(coordinator, CSV), whole="on")
    assert "2 leave" in words(listed)

    press(coordinator, listed, carry="1")

    assert places()["Eva Voss"] == "left"


def test_rows_that_need_mending_are_listed_and_nothing_is_done(coordinator):
    content = CSV + ",4,A1\nOld Birk,5,Q9\nIvo Marsh,9,A1\n"
    matched = upload(coordinator, content)

    refused = press(coordinator, matched)

    assert refused.status_code == 422
    assert "Three rows need mending; nothing is changed" in words(refused)
    for mending in ("The name is missing", "no section “Q9”", "is in row 3 already"):
        assert mending in words(refused)
    assert Student.objects.count() == 3


def test_sections_of_the_file_may_be_made(coordinator):
    matched = upload(coordinator, "name,section\nNew Birk,B1\n")
    listed = press(coordinator, matched, outside="make")
    assert "Sections that are made" in words(listed)

    press(coordinator, listed, carry="1")

    assert places()["New Birk"] == "B1 -"


def test_what_changed_since_the_list_is_said_and_the_new_list_shown(coordinator):
    listed = press(coordinator, upload(coordinator, CSV))
    Student.objects.filter(number="0").update(name="Ivo Reed")

    again = press(coordinator, listed, carry="1")

    assert again.status_code == 409
    assert "changed after this list was made" in words(again)
    assert "Not in the list any more: Ivo Marsh (0): goes from" in words(again)
    assert "New in the list: Ivo Reed (0): goes from" in words(again)
    assert places()["Ivo Reed"] == "A1 1"
    assert press(coordinator, again, carry="1").status_code == 302


def test_a_change_that_leaves_the_list_as_it_was_is_said_too(coordinator):
    listed = press(coordinator, upload(coordinator, CSV))
    make_group(Group.objects.first().section, "9")

    again = press(coordinator, listed, carry="1")

    assert "No line of the list itself has changed." in words(again)


def test_sending_the_list_twice_changes_nothing_more(coordinator):
    listed = press(coordinator, upload(coordinator, CSV))
    press(coordinator, listed, carry="1")
    before = places()

    assert press(coordinator, listed, carry="1").status_code == 409
    assert places() == before


def test_the_columns_can_be_changed_after_the_list(coordinator):
    listed = press(coordinator, upload(coordinator, CSV), whole="on")

    back = press(coordinator, listed, again="1")

    assert fields_of(back)["column-1"] == ["number"]
    assert fields_of(back)["whole"] == ["on"]


def test_a_doubled_head_is_pointed_out(coordinator):
    page = words(upload(coordinator, "name,name,section\nIvo,Marsh,A1\n"))

    assert "More than one column is called “name”" in page


def test_courses_of_a_bundle_are_chosen(coordinator):
    content = bundle(
        classes=[room("k1", "A1"), room("k2", "A2", course="c2")],
        courses=[{"sourcedId": c, "title": c.upper()} for c in ("c1", "c2")],
        enrollments=[enrolment("k1", "u1"), enrolment("k2", "u2")],
    )
    matched = upload(coordinator, content)
    assert "Choose at least one course" in words(press(coordinator, matched))

    press(coordinator, press(coordinator, matched, part="C2"), carry="1")

    assert places()["Ida Marsh"] == "A2 -"
    assert Student.objects.count() == 4


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"name,section\nM\x81ller,A1\n", "cannot be read as Windows-1252"),
        (b"name\x07bell", "not the text of a table"),
        (b"PK\x03\x04 and no more", "cannot be unpacked"),
        (b"x" * (LARGEST_MB * 2**20 + 1), "larger than 2 MB"),
        (b"\n", "The table is empty"),
    ],
    ids=["letters", "bytes", "zip", "large", "empty"],
)
def test_a_file_that_cannot_be_read_says_why(coordinator, content, said):
    page = upload(coordinator, content)

    assert page.status_code == 422
    assert said in words(page)


def test_no_file_or_a_form_of_somebody_else_asks_for_a_file(coordinator, client):
    address = reverse("prepare-roster-file", args=["IRON-1"])
    assert "Choose a file first" in words(coordinator.post(address))
    matched = upload(coordinator, CSV)
    client.force_login(make_staff("cleo"))

    for page in (press(client, matched), press(client, matched, carried="x:y:z")):
        assert page.status_code == 422
        assert "Choose it again" in words(page)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(content=st.binary(max_size=300))
def test_no_bytes_break_the_page(coordinator, content):
    assert upload(coordinator, content).status_code in {200, 422}


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(
    name=st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=60)
    | st.sampled_from(["<script>alert(1)</script>", "{{ name }}", "' onclick='x"])
)
def test_any_name_is_shown_as_text(coordinator, name):
    content = '"name","section"\n"' + name.replace('"', '""') + '","A1"\n'

    page = press(coordinator, upload(coordinator, content))

    if tidy(name):
        assert f'<th scope="row">{escape(tidy(name))}</th>' in page.content.decode()
    else:
        assert "The name is missing." in words(page)


def test_a_roster_of_5000_with_one_bad_row_is_reported_and_not_done(coordinator):
    rows = "".join(f"Person {n},{n + 10},A1\n" for n in range(4999))

    matched = upload(coordinator, f"name,number,section\n{rows},,\n")
    refused = press(coordinator, matched)

    assert "row" in words(refused)
    assert "5001" in words(refused)
    assert Student.objects.count() == 3
