"""Programs of coordinators compare, revalue lots and note stations."""

import json
from io import BytesIO
from zipfile import ZipFile

import pytest

from results import recompute
from results.models import AssignedValue, StationNote
from tests import factories
from tests.factories import NOW, make_staff
from tests.results.grading.classes import grade_of, make_graded

pytestmark = pytest.mark.django_db
COURSE_PAGES = [
    "stations",
    "lots",
    "section-effects",
    "slopes",
    "slips",
    "contrasts",
    "scores",
    "package.zip",
]


@pytest.fixture
def graded():
    return make_graded(4, 1)


@pytest.fixture
def ada(program, graded):
    make_staff("ada", course=graded[0].course)
    return program.as_staff("ada")


def post(program, path, **sent):
    return program.post(f"/api/v1/courses/IRON-1/{path}", sent, format="json")


def see(program, path, **query):
    return program.see(f"courses/IRON-1/{path}", **query)


@pytest.mark.parametrize("path", COURSE_PAGES)
def test_only_coordinators_see_effects(program, graded, path):
    make_staff("ben", role="assistant", section=graded[0])

    assert see(program.as_staff("ben"), path).status_code == 404


@pytest.mark.parametrize("path", COURSE_PAGES)
def test_a_course_without_any_reading_has_an_answer(program, path):
    make_staff("cora", course=factories.make_course())

    assert see(program.as_staff("cora"), path).status_code == 200


def test_stations_lots_and_sections_are_told_with_n_and_sentences(program):
    first, _ = make_two_islands()
    make_staff("cora", course=first.course)
    program.as_staff("cora")

    stations = see(program, "stations").json()["stations"]
    (lot,) = see(program, "lots").json()["lots"]
    sections = see(program, "section-effects").json()["sections"]

    assert [one["slope"]["n"] for one in stations] == [6, 6]
    assert all(one["slope"]["sentence"] for one in stations)
    assert lot["assigned_percent"] == 12.0
    assert [one["errors"]["n"] for one in sections] == [6, 6]
    assert [one["recovery"]["n"] for one in sections] == [6, 6]


def test_slopes_and_slips_are_listed(ada):
    assert len(see(ada, "slopes").json()["points"]) == 5
    (slip,) = see(ada, "slips").json()["at_the_bench"]
    assert (slip["code"], slip["n_groups"]) == ("tube_off", 1)


def test_scores_are_told_by_group(ada):
    told = see(ada, "scores").json()

    assert [one["n"] for one in told["sections"]] == [5]
    assert [one["group"] for one in told["groups"]] == ["1", "2", "3", "4", "5"]
    assert told["groups"][4]["judgement"] == "action signal"


def test_what_cannot_be_told_apart_is_an_answer_with_a_code(program):
    first, second = make_two_islands()
    make_staff("cora", course=first.course)
    query = {"response": "slope", "factor": "station"}
    query |= {"first": first.pk, "second": second.pk}

    told = see(program.as_staff("cora"), "contrasts", **query)

    assert told.status_code == 200
    assert told.json()["contrast"]["code"] == "cannot_separate"
    assert told.json()["contrast"]["effect"] is None
    assert told.json()["contrast"]["sentence"]
    (refused, *_) = told.json()["refused"]
    assert refused["code"] == "cannot_separate"


def make_two_islands():
    """Two sections, each at a station of its own."""
    course = factories.make_course()
    stations = [factories.make_station(course, code) for code in ("S1", "S2")]
    lot = factories.make_lot(course)
    for index, station in enumerate(stations):
        section = factories.make_section(course, f"A{index}")
        for number in range(6):
            group = factories.make_group(section, str(number))
            code = f"V{index}{number}"
            factories.make_vial(lot, code, group=group)
            mass_g = 0.25 + number / 5_000
            values = factories.perfect_readings(
                unknown_mass_g=mass_g, slope=factories.SLOPE * (1 + number / 1000)
            )
            raw = factories.raw_submission(
                station=station.code, percent_T=values, unknown_mass_g=mass_g
            )
            factories.submit(group, raw, key=code)
    factories.worked_off()
    recompute.refresh_effects(now=NOW)
    return stations


@pytest.mark.parametrize(
    "query", [{"factor": "station"}, {"response": "colour"}, {"other": "1"}]
)
def test_half_a_question_is_named(ada, query):
    answer = see(ada, "contrasts", **query)

    assert answer.status_code == 422
    assert answer.json()["errors"]


def test_levels_that_were_never_compared_are_not_found(ada):
    query = {"response": "slope", "factor": "station", "first": 1, "second": 2}

    assert see(ada, "contrasts", **query).status_code == 404


def test_a_lot_is_revalued_after_a_preview(ada, graded):
    section, groups = graded
    AssignedValue.objects.update(valid_from="2025-01-01T00:00Z")
    path = f"lots/{section.course.lots.get().pk}/values"
    value = {"iron_percent": "12,6", "u_iron_percent": 0.03}
    value |= {"valid_from": "2025-02-01T08:00:00Z", "reason": "assayed again"}

    shown = post(ada, path, **value)
    assert shown.status_code == 200
    # The fifth has nothing left to lose.
    assert len(shown.json()["movers"]) == 4
    assert AssignedValue.objects.count() == 1

    done = post(ada, path, **value, seen=shown.json()["mark"])

    assert done.status_code == 201
    assert done.json()["n_submissions"] == 5
    assert grade_of(groups[0]).suggested_points < 20
    newest, oldest = see(ada, path).json()["values"]
    assert (newest["iron_percent"], newest["assigned_by"]) == (12.6, "ada")
    assert oldest["iron_percent"] == 12.0


def test_another_preview_than_the_present_one_is_refused(ada, graded):
    path = f"lots/{graded[0].course.lots.get().pk}/values"
    value = {"iron_percent": 12.6, "u_iron_percent": 0.03, "reason": "why"}

    late = post(ada, path, **value, valid_from="2025-02-01T08:00:00Z", seen="x")
    wrong = post(ada, path, **value | {"iron_percent": 0}, valid_from="soon")

    assert late.status_code == 409
    assert wrong.status_code == 422
    assert wrong.json()["errors"][0]["pointer"] == "/valid_from"


def test_a_station_is_noted(ada, graded):
    station = graded[0].course.stations.first()
    path = f"stations/{station.pk}/service"

    assert post(ada, path, in_service=False).status_code == 422
    done = post(ada, path, in_service=False, note="lamp flickers")

    assert done.status_code == 200
    assert see(ada, path).json()["notes"][0]["by"] == "ada"
    assert StationNote.objects.get().note == "lamp flickers"


def test_assistants_change_neither(program, graded):
    section, _ = graded
    make_staff("ben", role="assistant", section=section)
    program.as_staff("ben")
    station, lot = section.course.stations.first(), section.course.lots.get()

    assert post(program, f"stations/{station.pk}/service").status_code == 404
    assert post(program, f"lots/{lot.pk}/values").status_code == 404


def test_a_course_is_taken_as_a_package(ada):
    answer = see(ada, "package.zip")
    named = see(ada, "package.zip", names="yes")

    archive = ZipFile(BytesIO(answer.content))
    assert json.loads(archive.read("datapackage.json"))["name"] == "benchwide-iron-1"
    assert "students.csv" not in archive.namelist()
    assert "students.csv" in ZipFile(BytesIO(named.content)).namelist()
