"""A group's line as a picture needs it, and findings as people read them."""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from results.models import Answer, Finding
from results.models.outcomes import Audience
from results.policy.findings import advice, is_worked, say, wording
from results.policy.findings.patterns import is_only_a_look
from results.policy.language import tell
from results.science.line import fit_line

# What makes one point stand off the line, so that the line is better without it.
_OF_ONE_TUBE = frozenset({"tube_off", "mistyped_reading", "scale_mixed_up"})
# A line through fewer standards than these tells nothing about the others.
_FEWEST = 3


@dataclass(frozen=True, slots=True)
class Point:
    """One tube; `mg_L` of an unknown is read off the line, and may be missing."""

    tube: str
    kind: str
    mg_L: float | None
    absorbance: float


@dataclass(frozen=True, slots=True)
class LineWithout:
    """The line through all standards but one, for comparison; no weights."""

    tube: str
    slope: float
    intercept: float


@dataclass(frozen=True, slots=True)
class LinePicture:
    """Points and line: slope in L/mg, intercept and residual sd in absorbance.

    Attributes
    ----------
    without : LineWithout or None
        The line without the likeliest suspect among the standards.
    """

    points: tuple[Point, ...]
    slope: float | None
    intercept: float | None
    residual_sd: float | None
    suspect_tubes: tuple[str, ...] = ()
    without: LineWithout | None = None


@dataclass(frozen=True, slots=True)
class FindingSummary:
    """One finding in words.

    Attributes
    ----------
    stage : str
        Of a worked answer, the first number that it spoils; empty otherwise.
    harmless : bool
        Whether the worked answer is what it would be without it.
    advice : tuple of str
        What to try for each deed that would look alike, most usual first.
    pattern : str
        What many such findings would mean, for coordinators; empty in what groups
        are told.
    """

    code: str
    title: str
    sentence: str
    tube: str
    probability: float
    staff_only: bool
    stage: str
    harmless: bool
    advice: tuple[str, ...]
    pattern: str

    @property
    def is_worked(self) -> bool:
        """Whether it is about the group's own arithmetic."""
        return is_worked(self.code)

    @property
    def is_only_a_look(self) -> bool:
        """Whether it asks to look again and says of nothing that it happened."""
        return is_only_a_look(self.code)


def picture_of(answer: Answer, findings: Sequence[FindingSummary] = ()) -> LinePicture:
    """Return the picture of a stored answer; no query.

    Parameters
    ----------
    findings : sequence of FindingSummary
        What the viewer is told, likeliest first; their tubes are the suspects.
    """
    return LinePicture(
        points=tuple(
            Point(
                tube=point["tube"],
                kind=point["kind"],
                mg_L=_place(answer, point),
                absorbance=point["absorbance"],
            )
            for point in answer.points
        ),
        slope=answer.slope,
        intercept=answer.intercept,
        residual_sd=answer.residual_sd,
        suspect_tubes=tuple(found.tube for found in findings if found.tube),
        without=_without(answer, findings),
    )


def _without(answer: Answer, findings: Sequence[FindingSummary]) -> LineWithout | None:
    standards = {
        point["tube"]: (point["mg_L"], point["absorbance"])
        for point in answer.points
        if point["kind"] == "standard" and point["mg_L"] is not None
    }
    suspect = next((one.tube for one in findings if one.code in _OF_ONE_TUBE), "")
    if suspect not in standards or len(standards) <= _FEWEST:
        return None
    kept = [point for tube, point in standards.items() if tube != suspect]
    line = fit_line(*np.array(kept).T)
    slope, intercept = float(line.slope), float(line.intercept)
    if not (math.isfinite(slope) and math.isfinite(intercept)):
        return None
    return LineWithout(suspect, slope, intercept)


def _place(answer: Answer, point: dict[str, float | None]) -> float | None:
    if point["mg_L"] is not None:
        return point["mg_L"]
    absorbance = point["absorbance"]
    if not answer.slope or answer.intercept is None or absorbance is None:
        return None
    return (absorbance - answer.intercept) / answer.slope


def findings_for_staff(
    submission_ids: Iterable[int],
) -> dict[int, tuple[FindingSummary, ...]]:
    """Return each submission's findings, likeliest first; one query."""
    return _findings(submission_ids, for_staff=True)


def findings_for_students(
    submission_ids: Iterable[int],
) -> dict[int, tuple[FindingSummary, ...]]:
    """Return what a group is told of each submission; one query."""
    return _findings(submission_ids, for_staff=False)


def _findings(
    submission_ids: Iterable[int], *, for_staff: bool
) -> dict[int, tuple[FindingSummary, ...]]:
    audience = Audience.STAFF if for_staff else Audience.GROUP
    rows = Finding.objects.filter(
        submission_id__in=set(submission_ids), audience=audience
    )
    found: dict[int, list[FindingSummary]] = defaultdict(list)
    for row in rows.order_by("submission_id", "-probability", "code", "tube"):
        words = wording(row.code)
        template = words.assistant if for_staff else words.student
        found[row.submission_id].append(
            FindingSummary(
                code=row.code,
                title=tell(words.title),
                sentence=say(template, tube=row.tube, numbers=row.numbers),
                tube=row.tube,
                probability=row.probability,
                staff_only=words.staff_only,
                stage=row.stage,
                harmless=row.harmless,
                advice=advice(row.members, for_staff=for_staff),
                pattern=say(words.coordinator, tube=row.tube, numbers=row.numbers)
                if for_staff
                else "",
            )
        )
    return {key: tuple(value) for key, value in found.items()}
