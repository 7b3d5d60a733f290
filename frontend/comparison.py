"""Sections of a course side by side, and the sentence that sums them up."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from frontend.numerals import counted, fixed, with_uncertainty
from results.summaries.course import (
    CourseSummary,
    RecoveryPoint,
    SectionLine,
    SlopePoint,
)
from results.summaries.medians import Interval, median_interval

#: Rows of a table beside a figure: whoever wants all of ten thousand has the CSV.
MOST_LISTED = 200
# Sections that can be read off one figure.
_MOST_DRAWN = 40


@dataclass(frozen=True, slots=True)
class SectionRow:
    """One section with the median of its recoveries and its 95 % interval."""

    line: SectionLine
    interval: Interval | None
    median_in_print: str
    claim: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """All sections under one sentence."""

    headline: str
    rows: tuple[SectionRow, ...]

    @property
    def drawn(self) -> tuple[SectionRow, ...]:
        """The sections that a figure has room for, those furthest off if need be."""
        told = [row for row in self.rows if row.line.recovery is not None]
        if len(told) <= _MOST_DRAWN:
            return tuple(told)
        by_median = sorted(told, key=_median_off, reverse=True)
        kept = {row.line.section for row in by_median[:_MOST_DRAWN]}
        return tuple(row for row in told if row.line.section in kept)


def compare(course: CourseSummary) -> Comparison:
    """Lay the sections out; those with fewer than five answers claim nothing."""
    rows = tuple(_row(line) for line in course.sections)
    return Comparison(headline=_headline(course, rows), rows=rows)


def furthest_off(points: Iterable[RecoveryPoint]) -> list[RecoveryPoint]:
    """Return the recoveries furthest off, as a factor; no more than a table holds."""
    off = sorted(points, key=lambda point: _off(point.ratio), reverse=True)
    return off[:MOST_LISTED]


def furthest_slopes(course: CourseSummary) -> list[SlopePoint]:
    """Return the slopes furthest from the course's median, as a factor."""
    if course.slope is None:
        return []
    usual = course.slope.median
    off = sorted(
        course.slopes, key=lambda point: _off(point.slope / usual), reverse=True
    )
    return off[:MOST_LISTED]


def _median_off(row: SectionRow) -> float:
    return _off(row.line.recovery.median) if row.line.recovery else 0


def _off(ratio: float) -> float:
    return abs(math.log(ratio)) if ratio > 0 else math.inf


def _row(line: SectionLine) -> SectionRow:
    interval = median_interval(line.recovery)
    if line.recovery is None:
        return SectionRow(line, None, "–", "nothing to compare yet")
    median = line.recovery.median
    if interval is None:
        return SectionRow(line, None, fixed(median, 3), "too few groups to tell")
    half = (interval.high - interval.low) / 2
    printed = with_uncertainty(median, half) if half > 0 else fixed(median, 3)
    if interval.low > 1:
        return SectionRow(line, interval, printed, "reads high")
    if interval.high < 1:
        return SectionRow(line, interval, printed, "reads low")
    return SectionRow(line, interval, printed, "agrees with the assigned values")


def _headline(course: CourseSummary, rows: tuple[SectionRow, ...]) -> str:
    if course.n_submitted == 0:
        return f"Nothing received yet in {course.title}"
    off = [row for row in rows if row.claim in {"reads high", "reads low"}]
    if len(off) == 1:
        return f"Section {off[0].line.section} {off[0].claim}; no other stands out"
    if off:
        n = counted(len(off)).capitalize()
        return f"{n} of {counted(len(rows))} sections read off the assigned values"
    if any(row.interval for row in rows):
        return "No section stands out from the assigned values"
    n_computed = sum(line.n_computed for line in course.sections)
    noun = "answer" if n_computed == 1 else "answers"
    return (
        f"{counted(n_computed).capitalize()} {noun} so far: too few to compare sections"
    )
