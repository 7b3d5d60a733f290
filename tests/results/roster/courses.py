"""Courses with people for tests, and rosters brought to them."""

from results.models import Group, Issue, Student, Submission
from results.models.rostered import course_state
from results.policy.roster.grid import read_grid
from results.policy.roster.matching import Matching, propose
from results.rosters import enrol_people
from tests.factories import (
    NOW,
    actor,
    make_bench,
    make_group,
    make_section,
    make_staff,
    slip_code,
    submit,
)

HEAD = "name,number,section,group"


def make_rostered():
    """Section A1 with group 1 (a vial, a slip, a submission) and group 2; empty A2."""
    bench = make_bench(slip=slip_code(1))
    other = make_group(bench.section, "2", slip=slip_code(2))
    for number, (name, group) in enumerate(
        [("Ivo Marsh", bench.group), ("Ida Reed", bench.group), ("Eva Voss", other)]
    ):
        enter(name, str(number), bench.section, group)
    make_section(bench.course, "A2")
    submit(bench.group)
    return bench


def enter(name, number, section, group=None):
    """A person on record, in a group since `NOW` if one is given."""
    student = Student.objects.create(
        course=section.course, section=section, group=group, name=name, number=number
    )
    if group:
        student.memberships.create(group=group, since=NOW)
    return student


def coordinator(course):
    return actor(make_staff("ada", course=course))


def grid_of(*rows, head=HEAD):
    return read_grid("\n".join([head, *rows]).encode())


def matching_of(grid, **how):
    return Matching(columns=propose(grid.head), **how)


def bring(course, who, *rows, seen=None, now=NOW, head=HEAD, **how):
    """Carry out what rows of cells change, after a look at the list."""
    grid = grid_of(*rows, head=head)
    matching = matching_of(grid, **how)
    if seen is None:
        seen = course_state(course).mark
    return enrol_people(course.code, grid, matching, seen=seen, actor=who, now=now)


def places():
    """Who is where: section and group by name; "left" for who has left."""
    return {
        one.name: "left"
        if one.left_at
        else f"{one.section.code} {one.group.code if one.group else '-'}"
        for one in Student.objects.select_related("section", "group")
    }


def at_the_bench():
    """Everything that hangs on groups: slips, vials and submissions, in full."""
    return (
        sorted(
            Group.objects.values_list("pk", "code", "slip_digest", "slip_issued_at")
        ),
        sorted(Issue.objects.values_list()),
        sorted(Submission.objects.values_list()),
    )
