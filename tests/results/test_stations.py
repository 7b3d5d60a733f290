"""A station in or out of service: with a note, and with its history."""

from datetime import timedelta

import pytest
from django.db import DatabaseError, connection, transaction

from results.models import Station, StationNote
from results.models.append_only import AppendOnly
from results.policy.refusals import NotAdmitted, NotFound
from results.rosters import note_station
from results.summaries.bench import bench_sheet
from tests import factories
from tests.factories import NOW, actor, make_staff

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench():
    return factories.make_bench()


@pytest.fixture
def ada(bench):
    return actor(make_staff("ada", course=bench.course))


def note(bench, who, *, in_service=False, text="lamp flickers", minutes=0):
    return note_station(
        bench.course.code,
        bench.station.pk,
        in_service=in_service,
        note=text,
        actor=who,
        now=NOW + timedelta(minutes=minutes),
    )


def test_the_bench_sheet_knows_which_stations_are_in_service(bench, ada):
    def offered():
        sheet = bench_sheet(bench.group.pk, now=NOW)
        return [one.code for one in sheet.stations if one.in_service]

    assert offered() == ["4"]
    note(bench, ada)
    assert offered() == []

    note(bench, ada, in_service=True, text="new lamp", minutes=1)

    assert offered() == ["4"]


def test_the_history_says_who_when_and_why(bench, ada):
    note(bench, ada)
    note(bench, ada, in_service=True, text="", minutes=9)

    kept = StationNote.objects.order_by("at").values_list(
        "in_service", "note", "by_name", "at"
    )
    assert list(kept) == [
        (False, "lamp flickers", "ada", NOW),
        (True, "", "ada", NOW + timedelta(minutes=9)),
    ]


def test_saying_the_same_twice_adds_nothing(bench, ada):
    assert note(bench, ada)
    assert not note(bench, ada, minutes=1)

    assert StationNote.objects.count() == 1


@pytest.mark.parametrize("text", ["", "  ", "a" * 241])
def test_a_station_goes_out_of_service_for_a_reason_that_fits(bench, ada, text):
    with pytest.raises(NotAdmitted):
        note(bench, ada, text=text)

    assert Station.objects.get().in_service


def test_only_a_coordinator_takes_a_station_out_of_service(bench):
    ben = actor(make_staff("ben", role="assistant", section=bench.section))

    with pytest.raises(NotFound):
        note(bench, ben)


def test_a_station_of_another_course_is_not_found(bench, ada):
    other = factories.make_station(factories.make_course("IRON-2"), "4")

    with pytest.raises(NotFound):
        note_station(
            bench.course.code, other.pk, in_service=False, note="x", actor=ada, now=NOW
        )


def test_notes_are_never_changed(bench, ada):
    note(bench, ada)

    with pytest.raises(AppendOnly):
        StationNote.objects.update(note="all well")
    with pytest.raises(AppendOnly):
        StationNote.objects.get().delete()
    with (
        pytest.raises(DatabaseError, match="station_note_append_only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute("UPDATE results_stationnote SET note = 'all well'")
