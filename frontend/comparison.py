"""Sections of a course side by side, and the sentence that sums them up."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from frontend.numerals import counted, fixed, with_uncertainty
from results.summaries.course import CourseSummary, RecoveryPoint, SectionLine
from results.summaries.medians import Interval, median_interval


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


def compare(course: CourseSummary) -> Comparison:
    """Lay the sections out; those with fewer than five answers claim nothing."""
    rows = tuple(_row(line) for line in course.sections)
    return Comparison(headline=_headline(course, rows), rows=rows)


def furthest_first(points: Iterable[RecoveryPoint]) -> list[RecoveryPoint]:
    """Return recoveries ordered by how far they are off, as a factor."""
    return sorted(points, key=lambda point: _off(point.ratio), reverse=True)


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
