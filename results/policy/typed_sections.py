"""Sections as they are typed into a table."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo

from results.policy.moments import read_moment
from results.policy.refusals import NotAdmitted, Problem
from results.policy.timetable import SectionTimes

TIMES = ("opens_at", "due_at", "closes_at")


@dataclass(frozen=True, slots=True)
class TypedSection:
    """One row of the table.

    Attributes
    ----------
    section_id : int
        0 for a section that is to be made.
    seen : str
        The mark of the section as it was when the page was opened.
    """

    section_id: int
    seen: str
    typed: Mapping[str, str]

    @property
    def is_empty(self) -> bool:
        """Whether nothing was typed."""
        return not any(typed.strip() for typed in self.typed.values())

    def read(self, place: str, zone: tzinfo) -> tuple[SectionTimes, list[Problem]]:
        """Return what was typed, and what is wrong with it at that place.

        A time that cannot be read counts as left open, besides being a problem.
        """
        problems: list[Problem] = []
        times: dict[str, datetime | None] = {}
        for name in TIMES:
            try:
                times[name] = read_moment(self.typed.get(name, ""), zone)
            except ValueError:
                times[name] = None
                message = "Give day and time, as 2026-10-05T14:00, or nothing."
                problems.append(Problem((place, name), message))
        code, title = (
            self.typed.get(name, "").replace("\x00", "").strip()
            for name in ("code", "title")
        )
        section = SectionTimes(code, title, *(times[name] for name in TIMES))
        return section, problems + list(section.problems((place,)))


def read_sections(
    rows: list[tuple[str, TypedSection]], zone: tzinfo
) -> list[SectionTimes]:
    """Return the sections of a table, each row under the name of its place.

    Raises
    ------
    NotAdmitted
        Rows need mending; all of it is named.
    """
    sections, problems, seen = [], [], set()
    for place, row in rows:
        section, wrong = row.read(place, zone)
        if section.code and section.code in seen:
            message = f"Two sections cannot both be {section.code}."
            wrong.append(Problem((place, "code"), message))
        seen.add(section.code)
        sections.append(section)
        problems += wrong
    if problems:
        raise NotAdmitted(problems)
    return sections
