"""Rosters for tests, written as a file would have them."""

from results.policy.roster.changes import plan_roster
from results.policy.roster.entries import read_entries
from results.policy.roster.grid import read_grid
from results.policy.roster.matching import Matching, propose
from results.policy.roster.people import CourseState, Person


def state_of(*people, groups=None):
    """A course with sections A1 and A2; people as (name, number, section, group)."""
    return CourseState(
        people=tuple(
            Person(pk, name, number, section, group, has_left=group == "left")
            if group != "left"
            else Person(pk, name, number, section, "", has_left=True)
            for pk, (name, number, section, group) in enumerate(people, start=1)
        ),
        groups={
            "A1": frozenset({"1", "2"}),
            "A2": frozenset({"1"}),
            **(groups or {}),
        },
    )


def entries_of(*rows, head="name,number,section,group", sections=("A1", "A2"), **how):
    """What rows of cells parted by commas say."""
    grid = read_grid("\n".join([head, *rows]).encode())
    matching = Matching(columns=propose(grid.head), **how)
    return read_entries(grid, matching, sections=sections)


def plan_of(state, *rows, whole=False, only_section="", **how):
    """What the rows would change in a course."""
    entries = entries_of(*rows, **how)
    assert entries.problems == ()
    return plan_roster(state, entries, whole=whole, only_section=only_section)
