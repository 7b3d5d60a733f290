"""The boxes of a weekly pattern, and of the table of sections."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from django.utils import timezone

from frontend.preparing.boxes import Box, problems_by_box
from frontend.preparing.course_form import first_day
from frontend.pressed import is_number, row_number
from results.policy.refusals import NotAdmitted, Problem
from results.policy.timetable import WeeklyPattern
from results.policy.typed_sections import TypedSection
from results.summaries.preparing.sections import PreparedSection

_WEEKLY = (
    Box("first_week", "Any day of the week in which they meet", "", kind="date"),
    Box(
        "meetings",
        "Meetings, one a line: weekday and hour",
        "",
        kind="lines",
        hint="As Mon 14:00. Two that meet at one time are two lines.",
    ),
    Box(
        "first_code",
        "Code of the first section",
        "",
        hint="The number at its end counts on: A1, A2, A3.",
    ),
    Box(
        "groups",
        "Groups in each section",
        "",
        kind="number",
        hint="They are called 1, 2, 3 and stand along the benches in that order; 0 "
        "for none yet.",
    ),
    Box(
        "due_after_days",
        "Due after how many days",
        "",
        kind="number",
        hint="At the hour of the meeting. Empty: no due time, nothing is late.",
    ),
    Box(
        "closes_after_days",
        "Closes after how many days",
        "",
        kind="number",
        hint="Nothing is accepted afterwards. Empty: it never closes.",
    ),
)
_COLUMNS = (
    ("code", "section", "text"),
    ("title", "title", "text"),
    ("opens_at", "opens", "moment"),
    ("due_at", "due", "moment"),
    ("closes_at", "closes", "moment"),
)
#: Name of the row in which a section can be added by hand.
NEW = "new"


@dataclass(frozen=True, slots=True)
class SectionRow:
    """One row of the table; without a section, the row for a new one."""

    name: str
    section: PreparedSection | None
    boxes: tuple[Box, ...]


def usual_weekly(n_sections: int) -> dict[str, str]:
    """Return what stands in the boxes of the pattern before anybody typed."""
    return {"first_code": str(n_sections + 1), "groups": "12", "due_after_days": "7"}


def weekly_form(
    values: Mapping[str, str], problems: Iterable[Problem]
) -> tuple[Box, ...]:
    """Lay out the weekly pattern."""
    by_box, _ = problems_by_box(problems, [box.name for box in _WEEKLY])
    return tuple(
        replace(box, value=values.get(box.name, ""), problem=by_box.get(box.name, ""))
        for box in _WEEKLY
    )


def read_weekly(values: Mapping[str, str]) -> tuple[WeeklyPattern, int]:
    """Return the pattern that was typed, and the groups in each section.

    Raises
    ------
    NotAdmitted
        A number or the day cannot be read; all of it is named.
    """
    problems = []
    first_week = first_day(values.get("first_week", ""))
    if first_week is None:
        message = "Give a day of the week in which they meet, as 2026-10-05."
        problems.append(Problem(("first_week",), message))
    days = {}
    for name in ("groups", "due_after_days", "closes_after_days"):
        typed = values.get(name, "").strip()
        days[name] = row_number(typed) if typed else None
        if typed and not is_number(typed):
            problems.append(Problem((name,), "Give a whole number, or nothing."))
    if problems or first_week is None:
        raise NotAdmitted(problems)
    pattern = WeeklyPattern(
        meetings=values.get("meetings", ""),
        first_week=first_week,
        first_code=values.get("first_code", "").replace("\x00", ""),
        due_after_days=days["due_after_days"],
        closes_after_days=days["closes_after_days"],
    )
    return pattern, days["groups"] or 0


def section_rows(
    sections: Iterable[PreparedSection],
    typed: Mapping[str, str] | None,
    problems: Iterable[Problem],
) -> tuple[SectionRow, ...]:
    """Lay out the table, with what was typed if anything was."""
    rows = [(f"s{one.section_id}", one) for one in sections]
    names = [f"{name}-{key}" for name, _ in rows for key, *_ in _COLUMNS]
    names += [f"{NEW}-{key}" for key, *_ in _COLUMNS]
    by_box, _ = problems_by_box(problems, names)
    return tuple(
        SectionRow(
            name,
            one,
            tuple(
                Box(
                    f"{name}-{key}",
                    label,
                    _stored(one, key)
                    if typed is None
                    else typed.get(f"{name}-{key}", _stored(one, key)),
                    by_box.get(f"{name}-{key}", ""),
                    kind,
                )
                for key, label, kind in _COLUMNS
            ),
        )
        for name, one in [*rows, (NEW, None)]
    )


def _stored(section: PreparedSection | None, key: str) -> str:
    value = getattr(section, key) if section else None
    if isinstance(value, datetime):
        return f"{timezone.localtime(value):%Y-%m-%dT%H:%M}"
    return value or ""


def typed_rows(
    sections: Iterable[PreparedSection], typed: Mapping[str, str]
) -> list[tuple[str, TypedSection]]:
    """Return the rows that were sent, each under its name."""
    rows = []
    for name, section_id in [
        *((f"s{one.section_id}", one.section_id) for one in sections),
        (NEW, 0),
    ]:
        row = TypedSection(
            section_id,
            typed.get(f"{name}-seen", ""),
            {key: typed.get(f"{name}-{key}", "") for key, *_ in _COLUMNS},
        )
        if f"{name}-code" in typed and not (name == NEW and row.is_empty):
            rows.append((name, row))
    return rows
