"""Sections: made many at once, changed in a table, never taken away with work."""

from datetime import UTC, datetime, timedelta

import pytest

from results.models import Grade, Group, Section, Student
from results.policy.refusals import NotAdmitted, NotFound
from results.policy.timetable import SectionTimes
from results.policy.typed_sections import TypedSection
from results.rosters import keep_sections, make_groups, make_sections, remove_section
from results.summaries.preparing.sections import section_mark
from tests.factories import (
    NOW,
    actor,
    make_bench,
    make_course,
    make_grading,
    make_group,
    make_section,
    make_staff,
    submit,
    worked_off,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def course():
    return make_course()


@pytest.fixture
def ada(course):
    return actor(make_staff("ada", course=course))


def row(section, **typed):
    """A section's row as the page shows it, but for what was typed."""
    shown = {
        "code": section.code,
        "title": section.title,
        **{
            name: f"{moment:%Y-%m-%dT%H:%M}" if moment else ""
            for name in ("opens_at", "due_at", "closes_at")
            for moment in [getattr(section, name)]
        },
    }
    name = f"s{section.pk}"
    return name, TypedSection(section.pk, section_mark(section), {**shown, **typed})


def keep(person, *rows):
    return keep_sections("IRON-1", rows, actor=person, now=NOW, zone=UTC)


def places(call):
    with pytest.raises(NotAdmitted) as caught:
        call()
    return {".".join(map(str, problem.where)) for problem in caught.value.problems}


def planned(*codes):
    return [
        SectionTimes(code, "", NOW, NOW + timedelta(days=7), None) for code in codes
    ]


def test_sections_are_made_with_groups_along_the_benches(ada):
    make_sections("IRON-1", planned("A1", "A2"), groups_each=12, actor=ada)

    groups = Group.objects.filter(section__code="A2").order_by("place")
    assert [(group.code, group.place) for group in groups][::11] == [
        ("1", 1),
        ("12", 12),
    ]
    assert Group.objects.count() == 24


def test_a_section_that_is_there_keeps_the_others_out(ada, course):
    make_section(course, "A2")

    call = lambda: make_sections(  # noqa: E731
        "IRON-1", planned("A1", "A2"), groups_each=61, actor=ada
    )

    assert places(call) == {"first_code", "groups"}
    assert Section.objects.count() == 1


def test_a_table_changes_what_was_changed_and_adds_a_row(ada, course):
    first, second = make_section(course, "A1"), make_section(course, "A2")
    new = ("new", TypedSection(0, "", {"code": "B1", "title": "evening"}))

    kept = keep(ada, row(first, due_at="2025-04-01T12:00"), row(second), new)

    assert (kept.n_made, kept.n_changed) == (1, 1)
    first.refresh_from_db()
    assert first.due_at == datetime(2025, 4, 1, 12, 0, tzinfo=UTC)
    assert Section.objects.get(code="B1").title == "evening"


def test_two_sections_exchange_their_codes(ada, course):
    first, second = make_section(course, "A1"), make_section(course, "A2")

    keep(ada, row(first, code="A2"), row(second, code="A1"))

    assert Section.objects.get(pk=first.pk).code == "A2"


def test_everything_wrong_in_a_table_is_named_at_its_box(ada, course):
    first, second = make_section(course, "A1"), make_section(course, "A2")
    rows = [
        row(first, code="", due_at="soon"),
        row(second, opens_at="2025-04-02T12:00", due_at="2025-04-01T12:00"),
    ]

    wanted = {f"s{first.pk}.code", f"s{first.pk}.due_at", f"s{second.pk}.due_at"}
    assert places(lambda: keep(ada, *rows)) == wanted


def test_a_section_that_somebody_else_changed_is_not_overwritten(ada, course):
    section = make_section(course, "A1")
    seen = row(section, title="mine")
    Section.objects.update(title="theirs")

    assert places(lambda: keep(ada, seen)) == {f"s{section.pk}.code"}
    assert Section.objects.get().title == "theirs"


def test_a_row_left_alone_does_not_undo_somebody_elses_change(ada, course):
    section = make_section(course, "A1")
    seen = row(section)
    Section.objects.update(title="theirs")

    assert keep(ada, seen).n_changed == 0
    assert Section.objects.get().title == "theirs"


def test_another_due_time_marks_what_was_received_anew_and_grades_follow(course):
    bench = make_bench(section=make_section(course, due_at=NOW - timedelta(hours=30)))
    ada = actor(make_staff("ada", course=course))
    make_grading(course)
    submit(bench.group)
    worked_off()
    before = Grade.objects.get().suggested_points

    kept = keep(ada, row(bench.section, due_at="2025-03-20T12:00"))

    assert kept.n_grades == 1
    assert bench.group.submissions.get().is_late is False
    assert Grade.objects.get().suggested_points == before + 2


def test_groups_are_made_where_there_are_none(ada, course):
    bare, full = make_section(course, "A1"), make_section(course, "A2")
    make_group(full)

    assert make_groups("IRON-1", [bare.pk, full.pk], n=3, actor=ada) == 3
    assert full.groups.count() == 1
    call = lambda: make_groups("IRON-1", [full.pk], n=0, actor=ada)  # noqa: E731
    assert places(call) == {"groups", "sections"}


def test_a_section_that_holds_work_stays(course):
    bench = make_bench(section=make_section(course))
    ada = actor(make_staff("ada", course=course))
    submit(bench.group)

    call = lambda: remove_section("IRON-1", bench.section.pk, actor=ada)  # noqa: E731

    assert places(call) == {"remove"}
    assert bench.group.submissions.count() == 1


def test_a_section_with_a_student_stays(ada, course):
    section = make_section(course)
    Student.objects.create(course=course, section=section, name="Mo")

    with pytest.raises(NotAdmitted, match="One thing"):
        remove_section("IRON-1", section.pk, actor=ada)

    assert Student.objects.exists()


def test_an_empty_section_goes_with_its_groups(ada, course):
    section = make_section(course)
    make_group(section)

    assert remove_section("IRON-1", section.pk, actor=ada) == "A1"
    assert not Group.objects.exists()


def test_a_section_of_another_course_is_not_found(ada):
    other = make_section(make_course("THEIRS"))

    with pytest.raises(NotFound):
        remove_section("IRON-1", other.pk, actor=ada)

    assert places(lambda: keep(ada, row(other, title="mine"))) == {f"s{other.pk}.code"}
