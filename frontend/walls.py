"""A section's wall: one small picture for every group, all on one scale."""

from dataclasses import dataclass

from frontend.numerals import counted, with_uncertainty
from frontend.pictures import Drawing, common_extent, draw
from results.policy.visits import State
from results.summaries.section import GroupRow, SectionSummary


@dataclass(frozen=True, slots=True)
class Tile:
    """One group on the wall.

    Attributes
    ----------
    iron : str
        "12.04 ± 0.21": iron content and half the width of its 95 % interval.
    """

    row: GroupRow
    drawing: Drawing | None
    iron: str
    wants_visit: bool


@dataclass(frozen=True, slots=True)
class Wall:
    """All groups of a section, most urgent first, under one sentence."""

    headline: str
    tiles: tuple[Tile, ...]
    is_waiting: bool
    any_recovery: bool


def wall_of(section: SectionSummary) -> Wall:
    """Lay out a section."""
    extent = common_extent(row.line for row in section.groups)
    return Wall(
        headline=headline(section),
        tiles=tuple(
            Tile(
                row=row,
                drawing=draw(row.line, extent) if row.line else None,
                iron=iron_in_print(row),
                wants_visit=row.visit.urgency > 1,
            )
            for row in section.groups
        ),
        is_waiting=section.n_waiting > 0,
        any_recovery=section.may_see_assigned,
    )


def iron_in_print(row: GroupRow) -> str:
    """Return a group's iron content with its expanded uncertainty, or nothing."""
    if row.iron_percent is None or row.low is None or row.high is None:
        return ""
    return with_uncertainty(row.iron_percent, (row.high - row.low) / 2)


def headline(section: SectionSummary) -> str:
    """Return the answer to "who needs me now", in a sentence."""
    n = len(section.groups)
    if n == 0:
        return f"Section {section.section} has no groups yet"
    of_all = f"of {counted(n)} groups" if n > 1 else "group"
    if section.n_submitted == 0:
        return f"Nothing received yet from {counted(n)} {_groups(n)}"
    visits = section.n_to_visit
    if visits:
        verb = "wants" if visits == 1 else "want"
        return f"{counted(visits).capitalize()} {of_all} {verb} a visit"
    if section.n_waiting:
        verb = "is" if section.n_waiting == 1 else "are"
        return f"{counted(section.n_waiting).capitalize()} {of_all} {verb} waiting"
    missing = sum(row.state is State.NOT_SENT for row in section.groups)
    if missing:
        return f"No group wants a visit; {counted(missing)} {of_all} to come"
    return "No group wants a visit; all are computed"


def _groups(n: int) -> str:
    return "group" if n == 1 else "groups"
