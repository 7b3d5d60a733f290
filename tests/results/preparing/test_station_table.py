"""Stations: many at once, and what a change does to what was read there."""

import pytest

from results.models import PendingRecompute, Station, StationNote
from results.policy.refusals import NotAdmitted
from results.rosters import TypedStation, keep_stations, make_stations, remove_station
from results.summaries.preparing.stations import prepared_stations
from tests.factories import (
    NOW,
    actor,
    make_bench,
    make_course,
    make_staff,
    make_station,
    submit,
    worked_off,
)

pytestmark = pytest.mark.django_db
FIELDS = {"place": "room 2", "scale": "percent_T", "step": "0,5"}


@pytest.fixture
def read():
    """A bench at which station 4 was read in percent transmittance."""
    bench = make_bench()
    submit(bench.group)
    worked_off()
    return bench


def ada():
    return actor(make_staff("ada"))


def row(person, code, **typed):
    found = prepared_stations("IRON-1", rights=person.rights).stations
    one = next(station for station in found if station.code == code)
    shown = {"place": one.place, "scale": one.scale, "step": str(one.step)}
    return f"t{one.station_id}", TypedStation(
        one.station_id, one.mark, {**shown, **typed}
    )


def places(call):
    with pytest.raises(NotAdmitted) as caught:
        call()
    return {str(problem.where[-1]) for problem in caught.value.problems}


def test_many_stations_share_what_was_typed_once():
    make_course()

    assert make_stations("IRON-1", "1-40", FIELDS, actor=ada()) == 40

    station = Station.objects.get(code="40")
    assert (station.place, station.scale, station.step) == ("room 2", "percent_T", 0.5)


def test_a_station_that_is_there_and_a_bad_step_are_both_named():
    make_station(code="7")

    call = lambda: make_stations(  # noqa: E731
        "IRON-1", "1-9", {**FIELDS, "step": "x"}, actor=ada()
    )

    assert places(call) == {"codes", "step"}
    assert Station.objects.count() == 1


def test_a_course_has_an_end_of_stations():
    make_course()
    person = ada()
    make_stations("IRON-1", "1-150", FIELDS, actor=person)

    call = lambda: make_stations("IRON-1", "151-201", FIELDS, actor=person)  # noqa: E731

    assert places(call) == {"codes"}


def test_another_step_has_what_was_read_there_computed_anew(read):
    person = ada()

    kept = keep_stations("IRON-1", [row(person, "4", step="1")], actor=person, now=NOW)

    assert (kept.n_changed, kept.n_submissions) == (1, 1)
    assert PendingRecompute.objects.get().reason == "scale of a station"


def test_another_place_has_nothing_computed(read):
    person = ada()
    rows = [row(person, "4", place="window")]

    assert keep_stations("IRON-1", rows, actor=person, now=NOW).n_submissions == 0
    assert Station.objects.get().place == "window"


def test_a_scale_on_which_readings_were_typed_stays(read):
    person = ada()
    rows = [row(person, "4", scale="absorbance", step="0.001")]

    call = lambda: keep_stations("IRON-1", rows, actor=person, now=NOW)  # noqa: E731

    assert places(call) == {"scale"}
    assert Station.objects.get().scale == "percent_T"


def test_a_scale_that_was_entered_wrongly_can_be_mended(read):
    # Every group typed the other scale: the station's own was never used.
    Station.objects.update(scale="absorbance", step=0.001)
    person = ada()
    rows = [row(person, "4", scale="percent_T", step="0.5")]

    assert keep_stations("IRON-1", rows, actor=person, now=NOW).n_submissions == 1


def test_a_station_that_somebody_else_changed_is_not_overwritten():
    make_station()
    person = ada()
    rows = [row(person, "4", place="mine")]
    Station.objects.update(place="theirs")

    call = lambda: keep_stations("IRON-1", rows, actor=person, now=NOW)  # noqa: E731

    assert places(call) == {"place"}


def test_a_station_at_which_something_was_read_or_noted_stays(read):
    person = ada()
    noted = make_station(code="5")
    StationNote.objects.create(
        station=noted,
        in_service=True,
        note="",
        at=NOW,
        by_id=person.user_id,
        by_name="a",
    )

    for station in Station.objects.all():
        call = lambda pk=station.pk: remove_station("IRON-1", pk, actor=person)  # noqa: E731
        assert places(call) == {"remove"}


def test_a_station_that_was_never_used_goes():
    station = make_station()

    assert remove_station("IRON-1", station.pk, actor=ada()) == "4"
    assert not Station.objects.exists()
