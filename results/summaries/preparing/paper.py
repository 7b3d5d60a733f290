"""What can be printed for a course, and what stands on its labels and slips."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Q
from django.utils import timezone

from results.models import Course, Group, Issue, Lot, Section, Station, Vial
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.codes import BadCode, in_parts, read_label
from results.summaries.paper import SectionSlips, slip_rows, slips_mark


@dataclass(frozen=True, slots=True)
class SectionChoice:
    """A section, and what there is to print for it.

    Attributes
    ----------
    week : str
        ISO week of its meeting, such as ``2025-W10``; empty without a time.
    n_without_slip : int
        Groups that have no slip yet.
    """

    section_id: int
    section: str
    title: str
    opens_at: datetime | None
    week: str
    n_groups: int
    n_without_slip: int


@dataclass(frozen=True, slots=True)
class LotChoice:
    """A lot and its number of vials."""

    lot_id: int
    lot: str
    n_vials: int


@dataclass(frozen=True, slots=True)
class Week:
    """A week in which sections meet; `monday` is its first day."""

    week: str
    monday: datetime
    n_sections: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperChoices:
    """All that can be printed for a course."""

    course: str
    title: str
    term: str
    college: str
    sections: tuple[SectionChoice, ...]
    lots: tuple[LotChoice, ...]
    weeks: tuple[Week, ...]
    n_stations: int
    has_protocol: bool

    @property
    def n_vials(self) -> int:
        """Number of vials of all lots."""
        return sum(lot.n_vials for lot in self.lots)

    @property
    def n_groups(self) -> int:
        """Number of groups of all sections."""
        return sum(one.n_groups for one in self.sections)

    @property
    def n_without_slip(self) -> int:
        """Number of groups that have no slip yet."""
        return sum(one.n_without_slip for one in self.sections)


@dataclass(frozen=True, slots=True)
class VialLabels:
    """Codes of vials, mixed across lots: no order tells one lot from another."""

    course: str
    title: str
    term: str
    college: str
    codes: tuple[str, ...]
    lots: tuple[str, ...]


def week_of(at: datetime | None) -> str:
    """Return the ISO 8601 week of a moment where the site is; empty without one."""
    if at is None:
        return ""
    year, week, _ = timezone.localtime(at).isocalendar()
    return f"{year}-W{week:02d}"


def paper_choices(course_code: str, *, rights: Rights) -> PaperChoices:
    """Return what can be printed for a course; five queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    sections = _sections(course)
    return PaperChoices(
        course=course.code,
        title=course.title,
        term=course.term,
        college=course.college,
        sections=sections,
        lots=tuple(
            LotChoice(*row)
            for row in Lot.objects.filter(course=course, retired_at__isnull=True)
            .annotate(n=Count("vials", filter=Q(vials__retired_at__isnull=True)))
            .order_by("code")
            .values_list("pk", "code", "n")
        ),
        weeks=_weeks(sections),
        n_stations=Station.objects.filter(course=course).count(),
        has_protocol=course.protocols.exists(),
    )


def _sections(course: Course) -> tuple[SectionChoice, ...]:
    rows = (
        Section.objects.filter(course=course)
        .annotate(
            n=Count("groups"),
            n_bare=Count("groups", filter=Q(groups__slip_digest__isnull=True)),
        )
        .order_by("code")
    )
    return tuple(
        SectionChoice(
            row.pk,
            row.code,
            row.title,
            row.opens_at,
            week_of(row.opens_at),
            row.n,
            row.n_bare,
        )
        for row in rows
    )


def _weeks(sections: Collection[SectionChoice]) -> tuple[Week, ...]:
    weeks: dict[str, Week] = {}
    for one in sections:
        if one.opens_at is not None:
            at = timezone.localtime(one.opens_at)
            monday = at - timedelta(days=at.weekday())
            n = weeks[one.week].n_sections if one.week in weeks else 0
            weeks[one.week] = Week(one.week, monday, n + 1)
    return tuple(weeks[key] for key in sorted(weeks))


def vial_labels(
    course_code: str, lot_ids: Collection[int], *, rights: Rights
) -> VialLabels:
    """Return the codes of the vials of lots in use, of all if none is named.

    Two queries, or three. No code carries its lot, and they stand in the order of
    their signs: neither a label nor its place on the sheet tells the lot.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    # What is retired is given out no more, and needs no label.
    vials = Vial.objects.filter(
        course=course, retired_at__isnull=True, lot__retired_at__isnull=True
    )
    lots: tuple[str, ...] = ()
    if lot_ids:
        vials = vials.filter(lot_id__in=lot_ids)
        chosen = Lot.objects.filter(course=course, pk__in=lot_ids).order_by("code")
        lots = tuple(chosen.values_list("code", flat=True))
    codes = sorted(vials.values_list("code", flat=True))
    checked = course.vial_labels_checked
    return VialLabels(
        course.code,
        course.title,
        course.term,
        course.college,
        tuple(_as_printed(code) if checked else code for code in codes),
        lots,
    )


def _as_printed(code: str) -> str:
    """Return a label with a check sign in parts; one of before the rule as it is."""
    try:
        return in_parts(read_label(code))
    except BadCode:
        return code


def course_slips(
    course_code: str, section_ids: Collection[int], *, rights: Rights
) -> tuple[SectionSlips, ...]:
    """Return the slips of sections of a course, of all if none is named; five queries.

    Sections without a group are left out.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    sections = Section.objects.filter(course=course)
    if section_ids:
        sections = sections.filter(pk__in=section_ids)
    groups: dict[int, list[Group]] = {}
    found = Group.objects.filter(section__in=sections)
    for group in found.prefetch_related("students"):
        groups.setdefault(group.section_id, []).append(group)
    vials = dict(
        Issue.objects.live()
        .filter(group__section__in=sections)
        .values_list("group_id", "vial__code")
    )
    return tuple(
        SectionSlips(
            section_id=section.pk,
            section=section.code,
            course=course.code,
            course_title=course.title,
            term=course.term,
            college=course.college,
            opens_at=section.opens_at,
            rows=slip_rows(groups[section.pk], vials),
            mark=slips_mark(groups[section.pk]),
        )
        for section in sections.order_by("code")
        if section.pk in groups
    )
