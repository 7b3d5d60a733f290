"""No English is left on a group's page in another language, whatever its state."""

from datetime import timedelta

import pytest
from django.urls import reverse

from tests.factories import (
    NOW,
    make_bench,
    make_course,
    make_section,
    raw_submission,
    slip_code,
    submit,
    worked_off,
)
from tests.frontend.benches import sign_in, typed_sheet
from tests.languages import NAMES, OPEN, outside_brackets, speak_brackets

GERMAN = {"Accept-Language": "de"}


@pytest.fixture
def brackets(settings, tmp_path):
    speak_brackets(settings, tmp_path)


def english_on(client, name, *args):
    page = client.get(reverse(name, args=args), headers=GERMAN).content.decode()
    assert OPEN in page
    return outside_brackets(page, names=NAMES)


def test_words_in_brackets_and_names_are_not_reported():
    page = (
        '<title>⟦Your line⟧ – Benchwide</title><p aria-label="⟦Tube ⟦3⟧⟧">⟦so⟧ far 3 g'
        "<script>const words = 1;</script></p><img alt='picture'>"
    )

    assert outside_brackets(page, names=["Benchwide"]) == ["far", "picture"]


pytestmark = pytest.mark.django_db


def test_the_first_page(client, brackets):
    assert english_on(client, "home") == []


@pytest.mark.parametrize(
    "times",
    [
        {},
        {"opens_at": NOW + timedelta(days=9999)},
        {"due_at": NOW},
        {"due_at": NOW + timedelta(days=9999)},
        {"closes_at": NOW},
    ],
    ids=["open", "not open", "late", "due", "closed"],
)
def test_an_empty_sheet(client, brackets, times):
    make_bench(slip=slip_code(), section=make_section(make_course(), **times))
    sign_in(client)

    assert english_on(client, "bench-sheet") == []


def test_a_sheet_of_a_group_that_is_sent_to_a_station(client, brackets):
    bench = make_bench(slip=slip_code())
    bench.group.planned_station = bench.station
    bench.group.save()
    sign_in(client)

    assert english_on(client, "bench-sheet") == []


def test_a_sheet_with_everything_to_mend(client, brackets):
    make_bench(slip=slip_code())
    sign_in(client)
    typed = typed_sheet(station="", standard_mass_g="210", vial="?")
    typed["value-0"] = "many"

    page = client.post(reverse("bench-sheet"), typed, headers=GERMAN)

    assert outside_brackets(page.content.decode(), names=NAMES) == []


@pytest.mark.parametrize(
    ("raw", "work"),
    [
        ({}, False),
        ({}, True),
        ({"percent_T": {"3": 45.0}}, True),
        ({"own": {"own_iron_percent": "0.48", "own_unknown_mg_L": "1.2"}}, True),
        ({"own": {"own_iron_percent": "12.0"}}, True),
        ({"percent_T": {"U1": 100.0, "U2": 100.0}}, True),
    ],
    ids=["waiting", "fine", "tube off", "slip on paper", "right", "no answer"],
)
def test_a_result(client, brackets, raw, work):
    bench = make_bench(slip=slip_code())
    submit(bench.group, raw_submission(**raw))
    if work:
        worked_off()
    sign_in(client)

    assert english_on(client, "bench-result-current") == []
    assert english_on(client, "bench-sheet") == []


def test_a_course_without_a_protocol(client, brackets):
    make_bench(slip=slip_code(), section=make_section(make_course(protocol=False)))
    sign_in(client)

    assert english_on(client, "bench-sheet") == []


def test_a_refusal(client, brackets):
    make_bench(slip=slip_code())
    sign_in(client)

    assert english_on(client, "bench-result", 7) == []


def test_a_page_that_is_not_there(client, brackets):
    page = client.get("/nowhere/", headers=GERMAN).content.decode()

    assert outside_brackets(page, names=NAMES) == []
