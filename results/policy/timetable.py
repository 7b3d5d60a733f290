"""When sections open, are due and close: weekly patterns, and moves by whole weeks."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo

from results.policy.refusals import NotAdmitted, Problem
from results.policy.typed import LONGEST_CODE

WEEKDAYS = (
    "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"
)  # fmt: skip
#: In one course: its table is one form.
MOST_SECTIONS = 100
_DAYS_A_WEEK = 7
_LONGEST_TITLE = 120
_MOST_DAYS = 366
_MEETING = re.compile(
    r"(?P<day>[^\W\d]{2,})\.?,?\s+(?P<hour>\d{1,2})[:.](?P<minute>\d\d)"
)


@dataclass(frozen=True, slots=True)
class SectionTimes:
    """One section as it is planned; None where a time is left open."""

    code: str
    title: str
    opens_at: datetime | None
    due_at: datetime | None
    closes_at: datetime | None

    def problems(self, where: tuple[str | int, ...] = ()) -> Iterator[Problem]:
        """Yield what keeps it from being a section, each with its place."""
        if not self.code:
            yield Problem((*where, "code"), "Give the section a code, such as A1.")
        if len(self.code) > LONGEST_CODE:
            yield Problem((*where, "code"), f"Shorten it to {LONGEST_CODE} signs.")
        if len(self.title) > _LONGEST_TITLE:
            yield Problem((*where, "title"), f"Shorten it to {_LONGEST_TITLE} signs.")
        if self.opens_at and self.due_at and self.due_at <= self.opens_at:
            message = "It must be due after it opens."
            yield Problem((*where, "due_at"), message)
        last = self.due_at or self.opens_at
        if last and self.closes_at and self.closes_at < last:
            word = "is due" if self.due_at else "opens"
            message = f"It cannot close before it {word}."
            yield Problem((*where, "closes_at"), message)


@dataclass(frozen=True, slots=True)
class WeeklyPattern:
    """Class meetings of one week, one section each.

    Attributes
    ----------
    meetings : str
        One meeting a line, as ``Mon 14:00``.
    first_week : date
        Any day of the week in which they meet.
    first_code : str
        Of the first meeting; the number at its end counts on: A1, A2, ...
    due_after_days, closes_after_days : int or None
        Counted from the opening, at the same hour; None for never.
    """

    meetings: str
    first_week: date
    first_code: str
    due_after_days: int | None
    closes_after_days: int | None

    def sections(self, zone: tzinfo) -> tuple[SectionTimes, ...]:
        """Return the sections, in the order of the lines.

        Raises
        ------
        NotAdmitted
            A line cannot be read, or the times do not fit; all of it is named.
        """
        lines = [line.strip() for line in self.meetings.splitlines() if line.strip()]
        problems = [
            Problem(
                ("meetings",), f"“{line[:20]}” is no weekday and hour, as Mon 14:00."
            )
            for line in lines
            if _meeting(line) is None
        ]
        if not lines:
            message = "Write one meeting a line, as Mon 14:00."
            problems.append(Problem(("meetings",), message))
        if len(lines) > MOST_SECTIONS:
            message = f"A course has {MOST_SECTIONS} sections at most."
            problems.append(Problem(("meetings",), message))
        for name in ("due_after_days", "closes_after_days"):
            days = getattr(self, name)
            if days is not None and not 0 < days <= _MOST_DAYS:
                message = f"Give 1 to {_MOST_DAYS} days, or nothing."
                problems.append(Problem((name,), message))
        if problems:
            raise NotAdmitted(problems)
        codes = counted_on(self.first_code.strip(), len(lines))
        planned = tuple(
            self._section(code, line, zone)
            for code, line in zip(codes, lines, strict=True)
        )
        _check(planned)
        return planned

    def _section(self, code: str, line: str, zone: tzinfo) -> SectionTimes:
        weekday, at = _meeting(line) or (0, time())
        monday = self.first_week - timedelta(days=self.first_week.weekday())
        day = monday + timedelta(days=weekday)
        opens_at = datetime.combine(day, at, tzinfo=zone)

        def after(days: int | None) -> datetime | None:
            # On the wall's clock: a week later at the same hour, whatever summer does.
            return None if days is None else opens_at + timedelta(days=days)

        return SectionTimes(
            code,
            "",
            opens_at,
            after(self.due_after_days),
            after(self.closes_after_days),
        )


def _check(planned: tuple[SectionTimes, ...]) -> None:
    places = {"code": "first_code", "due_at": "due_after_days"}
    problems = {
        Problem((places.get(str(p.where[-1]), "closes_after_days"),), p.message)
        for one in planned
        for p in one.problems()
    }
    if problems:
        raise NotAdmitted(sorted(problems, key=lambda p: p.where))


def _meeting(line: str) -> tuple[int, time] | None:
    """Return the weekday, 0 for Monday, and the hour of a line."""
    match = _MEETING.fullmatch(line)
    if match is None:
        return None
    day = match["day"].casefold()
    weekday = next(
        (i for i, name in enumerate(WEEKDAYS) if name.casefold().startswith(day)), None
    )
    hour, minute = int(match["hour"]), int(match["minute"])
    if weekday is None or hour > 23 or minute > 59:
        return None
    return weekday, time(hour, minute)


def counted_on(first: str, n: int) -> list[str]:
    """Return n codes, the number at the end of the first one counting on.

    Examples
    --------
    >>> counted_on("A9", 3), counted_on("", 2), counted_on("01", 2)
    (['A9', 'A10', 'A11'], ['1', '2'], ['01', '02'])
    """
    match = re.fullmatch(r"(.*?)([0-9]{0,9})", first, re.DOTALL)
    head, digits = (match[1], match[2]) if match else (first, "")
    start = int(digits or 1)
    return [f"{head}{start + i:0{len(digits)}d}" for i in range(n)]


def weeks_between(first: date, starts: date) -> int:
    """Return the whole weeks from a former first day to the first one of a new term.

    The new first class is on the same weekday, on the day the term starts or within
    the six days after it.

    Examples
    --------
    >>> weeks_between(date(2025, 9, 9), date(2026, 9, 7))
    52
    """
    return -((first - starts).days // _DAYS_A_WEEK)


def moved(moment: datetime | None, weeks: int, zone: tzinfo) -> datetime | None:
    """Return a moment some weeks later, at the same hour on the wall's clock."""
    if moment is None:
        return None
    return moment.astimezone(zone) + timedelta(weeks=weeks)
