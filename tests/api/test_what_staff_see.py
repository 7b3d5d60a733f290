import pytest

from results.models import Course, Group
from results.summaries.answers import answers_table
from results.summaries.rights import rights_of
from tests import factories


@pytest.fixture
def graded(bench):
    """The bench with one computed submission, and what staff are about to see."""
    factories.submit(bench.group)
    factories.worked_off()
    return bench


@pytest.fixture
def assistant(program, graded):
    factories.make_staff("bo", role="assistant", section=graded.section)
    return program.as_staff("bo")


@pytest.fixture
def coordinator(program, graded):
    factories.make_staff("ada", course=graded.course)
    return program.as_staff("ada")


def test_a_coordinator_lists_courses_with_their_sections(coordinator, graded):
    (course,) = coordinator.see("courses").json()["results"]

    assert course["is_coordinator"] is True
    assert [section["section"] for section in course["sections"]] == ["A1"]


def test_a_course_and_its_sections_are_found_by_its_code(coordinator, graded):
    course = coordinator.see("courses/IRON-1").json()
    page = coordinator.see("courses/IRON-1/sections").json()

    assert course["title"] == "Iron, autumn"
    assert page["results"] == course["sections"]


def test_a_section_is_found_by_its_number(coordinator, graded):
    section = coordinator.see(f"sections/{graded.section.pk}").json()

    assert (section["course"], section["section"]) == ("IRON-1", "A1")


def test_the_groups_of_a_section_come_by_urgency(coordinator, graded):
    factories.make_group(graded.section, "0")

    page = coordinator.see(f"sections/{graded.section.pk}/groups").json()

    # Group 0 has sent nothing yet, group 1 needs no visit.
    assert [row["group"] for row in page["results"]] == ["0", "1"]
    assert page["results"][0]["visit"]["why"] == "Nothing received yet"


def test_a_group_is_told_in_detail(coordinator, graded):
    factories.submit(graded.group, key="key-2")

    detail = coordinator.see(f"groups/{graded.group.pk}").json()

    assert [one["revision"] for one in detail["revisions"]] == [2, 1]
    assert len(detail["revisions"][0]["readings"]) == 7
    assert detail["row"]["state"] == "waiting"


def test_the_section_summary_counts_and_recovers(coordinator, graded):
    summary = coordinator.see(f"sections/{graded.section.pk}/summary").json()

    assert summary["n_submitted"] == 1
    assert summary["recovery"]["median"] == pytest.approx(1.0, rel=1e-4)
    assert summary["groups"][0]["recovery"]["assigned_percent"] == 12.0


def test_the_course_summary_compares_sections(coordinator, graded):
    summary = coordinator.see("courses/IRON-1/summary").json()

    assert [line["section"] for line in summary["sections"]] == ["A1"]
    assert summary["slopes"][0]["slope_L_per_mg"] == pytest.approx(0.1988, rel=1e-4)


class TestAnswers:
    def test_each_current_submission_is_one_row(self, coordinator, graded):
        factories.make_group(graded.section, "2")
        factories.submit(graded.group, key="key-2")
        factories.worked_off()

        page = coordinator.see("answers").json()

        assert page["count"] == 1
        assert page["results"][0]["revision"] == 2
        assert page["results"][0]["recovery"] == pytest.approx(1.0, rel=1e-4)

    def test_rows_can_be_asked_for_by_course_or_section(self, coordinator, graded):
        other = factories.make_section(graded.course, "B2")
        factories.submit(factories.make_group(other))

        all_rows = coordinator.see("answers", course="IRON-1").json()
        of_one = coordinator.see("answers", section=other.pk).json()

        assert [row["section"] for row in all_rows["results"]] == ["A1", "B2"]
        assert [row["section"] for row in of_one["results"]] == ["B2"]

    def test_rows_come_in_pages_in_order(self, coordinator, graded):
        for code in ("2", "3"):
            factories.submit(factories.make_group(graded.section, code))

        page = coordinator.see("answers", page=2, page_size=2).json()

        assert page["count"] == 3
        assert [row["group"] for row in page["results"]] == ["3"]

    @pytest.mark.parametrize(
        ("query", "status"),
        [
            ({"course": "NONE"}, 404),
            ({"section": 999}, 404),
            ({"section": "A1"}, 422),
        ],
    )
    def test_rows_of_nothing_are_refused(self, coordinator, query, status):
        assert coordinator.see("answers", **query).status_code == status

    def test_a_page_costs_the_same_queries_however_many_rows(
        self, coordinator, graded, django_assert_num_queries
    ):
        for number in range(2, 12):
            factories.submit(factories.make_group(graded.section, str(number)))

        # user; duties; count; groups; students; submissions; findings; values
        with django_assert_num_queries(8):
            coordinator.see("answers", page_size=2)
        with django_assert_num_queries(8):
            coordinator.see("answers", page_size=11)


class TestDuties:
    def test_an_assistant_sees_recoveries_if_the_course_allows(self, assistant):
        (row,) = assistant.see("answers").json()["results"]

        assert (row["lot"], row["recovery"]) == ("L1", pytest.approx(1.0, rel=1e-4))

    @pytest.mark.parametrize(
        "path", ["answers", "groups/{group}", "sections/{section}/summary"]
    )
    def test_assigned_values_are_closed_to_assistants_if_the_course_says_so(
        self, assistant, graded, path
    ):
        Course.objects.update(assistants_see_assigned=False)
        graded.lot.assigned_values.update(iron_percent=13.579)
        path = path.format(group=graded.group.pk, section=graded.section.pk)

        response = assistant.see(path)

        assert response.status_code == 200
        assert b"13.579" not in response.content
        assert b'"L1"' not in response.content
        assert b'"recovery":null' in response.content

    def test_a_coordinator_sees_them_even_then(self, coordinator):
        Course.objects.update(assistants_see_assigned=False)

        (row,) = coordinator.see("answers").json()["results"]

        assert row["recovery"] == pytest.approx(1.0, rel=1e-4)

    def test_rows_open_and_closed_stand_side_by_side(self, assistant, graded):
        closed = factories.make_course("IRON-2", assistants_see_assigned=False)
        bench = factories.make_bench(section=factories.make_section(closed))
        factories.submit(bench.group)
        factories.worked_off()
        bo = graded.section.duties.get().user
        bench.section.duties.create(user=bo, course=closed, role="assistant")

        rows = assistant.see("answers").json()["results"]

        assert [row["lot"] for row in rows] == ["L1", ""]

    @pytest.mark.parametrize(
        "path",
        [
            "sections/{section}",
            "sections/{section}/groups",
            "sections/{section}/summary",
            "groups/{group}",
            "answers?section={section}",
        ],
    )
    def test_another_section_is_not_found_by_an_assistant(
        self, assistant, graded, path
    ):
        other = factories.make_section(graded.course, "B2")
        group = factories.make_group(other)
        factories.submit(group)

        response = assistant.get(
            f"/api/v1/{path}".format(section=other.pk, group=group.pk)
        )

        assert response.status_code == 404

    def test_an_assistant_lists_only_sections_of_their_own(self, assistant, graded):
        factories.make_section(graded.course, "B2")

        course = assistant.see("courses/IRON-1").json()

        assert [section["section"] for section in course["sections"]] == ["A1"]

    def test_the_course_summary_is_for_coordinators(self, assistant):
        assert assistant.see("courses/IRON-1/summary").status_code == 404

    @pytest.mark.usefixtures("graded")
    def test_without_duties_nothing_is_there(self, program):
        factories.make_staff("cy", role=None)
        program.as_staff("cy")

        assert program.see("courses").json()["count"] == 0
        assert program.see("answers").json()["count"] == 0
        assert program.see("courses/IRON-1").status_code == 404
        assert program.see(f"groups/{Group.objects.get().pk}").status_code == 404


def test_an_answers_table_gives_single_rows_too(graded):
    ada = factories.make_staff("ada", course=graded.course)

    table = answers_table(rights=rights_of(ada.pk))

    assert table[0].group == "1"
