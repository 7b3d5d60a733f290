"""Slips of a course by frequency, and those that a handout may have taught."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Count, Q

from results.models import Course, Finding, Section, Submission
from results.models.courses import coordinated_course
from results.models.outcomes import Audience
from results.policy.access import Rights
from results.policy.findings import is_worked, say, wording
from results.policy.findings.patterns import is_no_slip, is_shared
from results.policy.typed import OWN_FIELDS
from results.summaries.slips import FindingCount, SharedSlip


@dataclass(frozen=True, slots=True)
class SlipFrequencies:
    """How many groups have each finding, most frequent first.

    Attributes
    ----------
    n_groups, n_worked : int
        Groups with readings, and those that gave a worked answer.
    shared : tuple of SharedSlip
        Slips on paper that most of a section share: the handout may be the cause.
    """

    course: str
    title: str
    n_groups: int
    n_worked: int
    at_the_bench: tuple[FindingCount, ...]
    on_paper: tuple[FindingCount, ...]
    shared: tuple[SharedSlip, ...]


def slip_frequencies(course_code: str, *, rights: Rights) -> SlipFrequencies:
    """Count the findings of a course; four queries, however many groups.

    The database counts; not a single submission is read.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    by_section = _by_section(course)
    totals: dict[str, int] = {}
    for counts in by_section.values():
        for code, n in counts.items():
            totals[code] = totals.get(code, 0) + n
    ranked = tuple(
        FindingCount(code, wording(code).title, n, is_worked(code))
        for code, n in sorted(totals.items(), key=lambda item: (-item[1], item[0]))
    )
    worked = _worked_by_section(course)
    return SlipFrequencies(
        course=course.code,
        title=course.title,
        n_groups=sum(n for n, _ in worked.values()),
        n_worked=sum(n for _, n in worked.values()),
        at_the_bench=tuple(
            one for one in ranked if not one.is_worked and not is_no_slip(one.code)
        ),
        on_paper=tuple(one for one in ranked if one.is_worked),
        shared=_shared(course, by_section, worked),
    )


def _by_section(course: Course) -> dict[int, dict[str, int]]:
    found: dict[int, dict[str, int]] = {}
    for section, code, n in (
        Finding.objects.filter(
            submission__group__section__course=course,
            submission__is_current=True,
            audience=Audience.STAFF,
        )
        .values_list("submission__group__section_id", "code")
        .annotate(n=Count("submission", distinct=True))
        .order_by("submission__group__section_id", "code")
    ):
        found.setdefault(section, {})[code] = n
    return found


def _worked_by_section(course: Course) -> dict[int, tuple[int, int]]:
    """By section: groups with readings, and those with a worked answer."""
    gave_none = Q(**dict.fromkeys(OWN_FIELDS, ""))
    return {
        section: (n, worked)
        for section, n, worked in Submission.objects.filter(
            group__section__course=course, is_current=True
        )
        .values_list("group__section_id")
        .annotate(n=Count("pk"), worked=Count("pk", filter=~gave_none))
        .order_by()
    }


def _shared(
    course: Course,
    by_section: Mapping[int, Mapping[str, int]],
    worked: Mapping[int, tuple[int, int]],
) -> tuple[SharedSlip, ...]:
    shared = []
    for section in Section.objects.filter(course=course).order_by("code"):
        _, n_worked = worked.get(section.pk, (0, 0))
        for code, n in by_section.get(section.pk, {}).items():
            if is_worked(code) and is_shared(n, of=n_worked):
                words = wording(code)
                shared.append(
                    SharedSlip(
                        section.pk,
                        section.code,
                        code,
                        words.title,
                        n,
                        n_worked,
                        say(words.coordinator, tube="", numbers={}),
                    )
                )
    return tuple(shared)
