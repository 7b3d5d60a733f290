"""From the bytes of a file to the list of what it would change."""

from dataclasses import dataclass
from datetime import date

from results.policy.refusals import NotAdmitted
from results.policy.roster.changes import Plan, plan_roster
from results.policy.roster.entries import Repeated, read_entries
from results.policy.roster.grid import Grid, read_grid
from results.policy.roster.matching import Matching, check_matching
from results.policy.roster.oneroster import is_bundle, read_bundle
from results.policy.roster.people import CourseState
from results.policy.roster.refusals import NotARoster


@dataclass(frozen=True, slots=True)
class Reading:
    """What a file would change in a course, and what of it counts once or not."""

    plan: Plan
    repeated: tuple[Repeated, ...]
    n_left_out: int


def read_file(content: bytes, *, today: date) -> Grid:
    """Return the rows of a CSV file or of a OneRoster bundle.

    Raises
    ------
    NotARoster
        It is neither, or damaged.
    """
    if is_bundle(content):
        return read_bundle(content, today=today)
    return read_grid(content)


def read_roster(state: CourseState, grid: Grid, matching: Matching) -> Reading:
    """Return what a file would change.

    Raises
    ------
    NotAdmitted
        It is not said yet what the columns mean.
    NotARoster
        Rows need mending; all of them are named.
    """
    missing = check_matching(grid, matching)
    if missing:
        raise NotAdmitted(missing)
    entries = read_entries(grid, matching, sections=state.groups)
    plan = plan_roster(
        state, entries, whole=matching.whole, only_section=matching.section
    )
    problems = sorted([*entries.problems, *plan.problems], key=lambda one: one.row)
    if problems:
        raise NotARoster(problems)
    return Reading(plan, entries.repeated, entries.n_left_out)
