"""Pages that compare: each says its claim, to coordinators of the course only."""

import plotly.graph_objects as go
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from frontend.comparing.map import map_figure
from results import recompute
from results.models import Station
from results.summaries.effects.sections import MapCell
from tests.compared import STATIONS, compared_course, share_a_slip
from tests.factories import (
    NOW,
    make_course,
    make_group,
    make_section,
    make_staff,
    raw_submission,
    submit,
)

pytestmark = pytest.mark.django_db
PAGES = ("stations", "lots", "sections", "slopes", "slips", "report")
FIGURES = (
    "figure", "spreads", "map", "paper_figure", "bench_figure", "forest", "lots",
)  # fmt: skip


@pytest.fixture
def opened(client):
    """Open a page of a course as its coordinator; returns page and text."""

    def opened(name, query=""):
        if "_auth_user_id" not in client.session:
            client.force_login(make_staff("ada"))
        answer = client.get(address(name) + query)
        assert answer.status_code == 200
        return answer.context["page"], answer.content.decode()

    return opened


def address(name):
    return reverse(f"compare-{name}", args=["IRON-1"])


def test_station_that_reads_five_percent_high_is_the_title_of_its_page(opened):
    compared_course(gain={"S3": 1.05})

    page, text = opened("stations")

    assert page.headline.startswith("Station S3 reads ")
    assert page.headline.endswith(
        " % above the other 7 (6 groups); answers are not affected"
    )
    assert f"<h1>{page.headline}</h1>" in text
    assert "The wavelength dial may be off" in text
    first, *others = page.rows
    assert (first.slope.word, first.slope.n) == ("differs", 6)
    assert {row.slope.word for row in others} == {"like the others"}


def test_lot_that_was_shifted_is_proposed_for_a_new_assay(opened):
    compared_course(content={"L1": 0.95})

    page, text = opened("lots")

    assert page.headline.startswith("Lot L1 is found ")
    assert "below its assigned value" in page.headline
    assert "Assay lot L1 again: assigned 12.00 ± 0.08 %" in text
    assert page.rows[0].found.startswith("11.4")


def test_section_whose_contents_are_off_is_the_title_of_its_page(opened):
    compared_course(content={"A2": 1.05})

    page, text = opened("sections")

    assert page.headline.startswith("Iron contents in section A2 lie ")
    assert "above those in the other 5" in page.headline
    assert "The handout or the talk before the work" in text
    assert [look.line.section for look in page.looks] == ["A2"]


def test_class_without_a_fault_says_that_nothing_stands_out(opened):
    compared_course()

    for name, factor in (
        ("stations", "station"),
        ("lots", "lot"),
        ("sections", "section"),
    ):
        page, _ = opened(name)
        assert page.headline.startswith(f"No {factor} stands out beyond chance: ")
    page, _ = opened("report")
    assert page.headline == "Nothing in the course asks for a look this week"


def test_fewer_than_five_groups_claim_nothing(opened):
    compared_course(sections=3, gain={"S3": 1.2})

    page, text = opened("stations")

    assert page.headline == "Cannot tell yet: no station has five groups to compare"
    assert {row.slope.word for row in page.rows} == {"too few groups"}
    assert "reads 2" not in text


def test_what_the_layout_cannot_tell_apart_is_an_answer(opened):
    half = STATIONS // 2
    compared_course(
        stations_of=lambda number: (
            [f"S{k}" for k in (range(half) if number % 2 else range(half, STATIONS))]
            * 2
        )
    )

    _, text = opened("stations")

    assert "What cannot be told" in text
    assert "Cannot separate station from section: no section worked in both." in text
    assert "S0, S1, S2, S3" in text


def test_before_anything_was_compared_every_page_says_so(opened):
    make_section()

    assert opened("stations")[0].headline == "Stations have not been compared yet"
    assert opened("report")[0].headline == "Nothing has been compared yet"
    assert opened("slopes")[0].headline == "No line has been computed yet"
    assert opened("slips")[0].headline == "Nothing received yet"


def test_station_out_of_service_carries_a_mark_and_its_note(opened):
    compared_course()
    Station.objects.filter(code="S5").update(in_service=False, note="lamp flickers")

    page, text = opened("stations")

    assert "out of service" in text
    assert "lamp flickers" in text
    assert "out of service" in {trace["name"] for trace in page.figure["data"]}


def test_any_station_can_be_opened_in_place(opened):
    compared_course(gain={"S3": 1.05})

    page, text = opened("stations", "?station=S1")

    assert page.chosen.line.station == "S1"
    assert "Station S1 does not differ" in text


def test_station_in_doubt_is_in_colour_in_the_cloud_of_slopes(opened):
    compared_course(gain={"S3": 1.05})

    page, text = opened("slopes")

    names = [trace["name"] for trace in page.figure["data"]]
    assert names[:2] == ["other groups", "station S3"]
    assert {"S3"} <= {point.station for point in page.rows}
    assert reverse("group", args=[page.rows[0].group_id]) in text


def test_groups_of_a_chosen_section_are_shown_and_linked(opened):
    compared_course()

    page, _ = opened("slopes", "?show=section:A2")

    assert {point.section for point in page.rows} == {"A2"}
    assert len(page.rows) == 8
    coloured = page.figure["data"][1]
    assert coloured["name"] == "section A2"
    assert coloured["meta"]["links"] == [
        reverse("group", args=[point.group_id]) for point in page.rows
    ]


def test_handout_that_taught_a_slip_is_suspected(opened):
    share_a_slip(compared_course(sections=2))

    page, text = opened("slips")

    assert page.headline == (
        "Section A0 shares a slip on paper: look at its handout (8 of 8 worked answers)"
    )
    assert page.paper[0].share == "100%"
    assert "mend the handout" in text


def test_report_names_every_matter_with_its_sentence(opened):
    share_a_slip(compared_course(gain={"S3": 1.05}, content={"L1": 0.95}))

    page, text = opened("report")

    assert page.headline == (
        "Station S3, lot L1 and the handout of section A0 ask for a look this week"
    )
    assert "Station S3 reads" in text
    assert "Assay lot L1 again" in text
    assert "mend the handout" in text


def test_every_figure_keeps_to_the_schema_of_its_library(opened):
    share_a_slip(compared_course(gain={"S3": 1.05}, content={"L1": 0.95}))
    found = [opened(name)[0] for name in PAGES]

    figures = [
        figure
        for page in found
        for name in FIGURES
        if isinstance(figure := getattr(page, name, None), dict)
    ]

    assert len(figures) >= 8
    for figure in figures:
        go.Figure(figure)


def test_every_figure_has_a_text_and_a_table(opened):
    compared_course(gain={"S3": 1.05}, content={"L1": 0.95})

    for name in ("stations", "lots", "sections", "slopes"):
        _, text = opened(name)
        assert text.count("data-figure=") == text.count('role="img" aria-label="')
        assert text.count("<table") >= text.count("data-figure=") > 0


@pytest.mark.parametrize("name", PAGES)
def test_comparisons_are_for_coordinators_of_the_course_only(client, name):
    section = make_section()
    elsewhere = make_course("OTHER-1")
    for person in (
        make_staff("eve", course=elsewhere),
        make_staff("ben", role="assistant", section=section),
        make_staff("nobody", role=None),
    ):
        client.force_login(person)
        assert client.get(address(name)).status_code == 404

    client.logout()
    assert client.get(address(name)).status_code == 302


def test_course_page_leads_to_every_comparison(client):
    make_section()
    client.force_login(make_staff("ada"))

    text = client.get(reverse("course", args=["IRON-1"])).content.decode()

    assert all(f'href="{address(name)}"' in text for name in PAGES)


def test_number_of_queries_does_not_grow_with_the_class(client, opened):
    course = compared_course(sections=4, gain={"S3": 1.05})
    opened("stations")

    def queries():
        found = {}
        for name in PAGES:
            with CaptureQueriesContext(connection) as caught:
                client.get(address(name))
            found[name] = len(caught)
        return found

    few = queries()
    for number in range(25):
        section = make_section(course, code=f"B{number}")
        for turn in range(11):
            raw = raw_submission(station=f"S{turn % STATIONS}")
            submit(make_group(section, code=str(turn)), raw)
    recompute.work_off(clock=lambda: NOW)
    recompute.refresh_effects(now=NOW, course_id=course.pk)

    assert queries() == few


def test_map_of_very_many_sections_shows_those_furthest_off():
    cells = [
        MapCell(f"A{k}", f"S{k % 7}", 1, 5.0 if k == 77 else 0.1, None)
        for k in range(100)
    ]

    figure = map_figure(cells, "error")

    rows = figure["data"][0]["y"]
    assert len(rows) == 60
    assert "A77" in rows
    assert "60 of 100 sections" in figure["layout"]["xaxis"]["title"]["text"]


def test_a_section_that_was_never_at_a_station_leaves_its_cell_empty():
    cells = [MapCell("A", "S1", 1, 5.0, None), MapCell("B", "S2", 1, 0.1, None)]

    (drawn,) = map_figure(cells, "error")["data"]

    words = {text for row in drawn["text"] for text in row}
    assert words <= {"", "▲", "▼"}
