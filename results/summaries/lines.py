"""A group's line as a picture needs it, and findings as people read them."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from results.models import Answer, Finding
from results.models.outcomes import Audience
from results.policy.findings import advice, say, wording


@dataclass(frozen=True, slots=True)
class Point:
    """One tube; `mg_L` of an unknown is read off the line, and may be missing."""

    tube: str
    kind: str
    mg_L: float | None
    absorbance: float


@dataclass(frozen=True, slots=True)
class LinePicture:
    """Points and line: slope in L/mg, intercept and residual sd in absorbance."""

    points: tuple[Point, ...]
    slope: float | None
    intercept: float | None
    residual_sd: float | None
    suspect_tubes: tuple[str, ...] = ()


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


def picture_of(answer: Answer, suspect_tubes: Iterable[str] = ()) -> LinePicture:
    """Return the picture of a stored answer; no query."""
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
        suspect_tubes=tuple(suspect_tubes),
    )


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
                title=words.title,
                sentence=say(template, tube=row.tube, numbers=row.numbers),
                tube=row.tube,
                probability=row.probability,
                staff_only=words.staff_only,
                stage=row.stage,
                harmless=row.harmless,
                advice=advice(row.members, for_staff=for_staff),
            )
        )
    return {key: tuple(value) for key, value in found.items()}
