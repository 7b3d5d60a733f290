"""The prep room's worksheet: reagents scaled, salt, vials, waste, stations."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from results.models import Course, Group, Issue, Section, Station
from results.models.courses import coordinated_course, protocol_in_force
from results.policy.access import Rights
from results.policy.hazards import Substance, substances_of
from results.policy.prep_plan import PrepPlan
from results.policy.protocol import ProtocolRules, read_protocol
from results.science.dilution import step_concentrations
from results.science.photometry import slope_per_mg_L
from results.science.prep import (
    containers,
    flasks_per_group,
    salt_g,
    waste_per_group_mL,
)
from results.summaries.paper import as_counted
from results.summaries.preparing.paper import week_of
from results.summaries.preparing.prep_plan import (
    PlanInForce,
    plan_in_force,
)
from results.summaries.preparing.solutions import ReagentRow, reagent_rows

# Fortune and Mellon 1938 (from memory): 11 100 L/(mol cm); iron 55.845 g/mol.
_TEXTBOOK_ABSORPTIVITY, _IRON_G_PER_MOL = 11_100.0, 55.845


@dataclass(frozen=True, slots=True)
class VialRow:
    """Who gets which vial, and where they stand; never its lot."""

    group: str
    place: int | None
    vial: str
    station: str


@dataclass(frozen=True, slots=True)
class SectionList:
    """One section that is prepared for."""

    section: str
    title: str
    opens_at: datetime | None
    rows: tuple[VialRow, ...]

    @property
    def has_places(self) -> bool:
        """Whether it is known where groups stand."""
        return any(row.place is not None for row in self.rows)

    @property
    def has_stations(self) -> bool:
        """Whether groups are sent to stations."""
        return any(row.station for row in self.rows)


@dataclass(frozen=True, slots=True)
class Waste:
    """What is collected, mL, and in how many containers."""

    per_group_mL: float
    per_section_mL: float
    here_mL: float
    term_mL: float
    n_containers: int


@dataclass(frozen=True, slots=True)
class CheckStandard:
    """The standard with which a new batch is checked, and what it should show."""

    tube: str
    mg_L: float
    absorbance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Worksheet:
    """Everything that a prep room needs for some sections."""

    course: str
    title: str
    term: str
    college: str
    protocol_version: int
    in_force: PlanInForce
    sections: tuple[SectionList, ...]
    flasks: int
    reagents: tuple[ReagentRow, ...]
    salt: str
    salt_each_g: float
    salt_g: float
    unknown_each_g: float
    unknown_vial_g: float
    waste: Waste
    check: CheckStandard
    wavelength_nm: float
    path_cm: float
    substances: tuple[Substance, ...]
    out_of_service: tuple[tuple[str, str], ...]

    @property
    def n_groups(self) -> int:
        """Number of groups that are prepared for."""
        return sum(len(one.rows) for one in self.sections)


def prep_worksheet(
    course_code: str,
    *,
    section_ids: Collection[int] = (),
    week: str = "",
    rights: Rights,
) -> Worksheet:
    """Return the worksheet for sections, else for those of a week, else for all.

    Eight queries, however many groups.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    NoProtocol
        The course has no protocol.
    """
    course = coordinated_course(course_code, rights=rights)
    protocol = protocol_in_force(course)
    rules = read_protocol(protocol.document)
    in_force = plan_in_force(course, rules)
    sections = _chosen(course, section_ids, week)
    n_groups = sum(len(one.rows) for one in sections)
    plan, scheme = in_force.plan, rules.scheme
    reagents = reagent_rows(rules, plan, n_groups)
    return Worksheet(
        course=course.code,
        title=course.title,
        term=course.term,
        college=course.college,
        protocol_version=protocol.version,
        in_force=in_force,
        sections=sections,
        flasks=flasks_per_group(scheme, int(plan.blank_flasks)),
        reagents=reagents,
        salt=scheme.formula,
        salt_each_g=scheme.standard_mass_g,
        salt_g=salt_g(
            scheme.standard_mass_g, n_groups=n_groups, spare=plan.spare_percent / 100
        ),
        unknown_each_g=scheme.unknown_mass_g,
        unknown_vial_g=scheme.unknown_mass_g * (1 + plan.spare_percent / 100),
        waste=_waste(course, rules, plan, sections),
        check=_check(rules),
        wavelength_nm=scheme.wavelength_nm,
        path_cm=scheme.path_cm,
        substances=substances_of(
            [*(row.name for row in reagents), scheme.formula or ""]
        ),
        out_of_service=tuple(
            Station.objects.filter(course=course, in_service=False)
            .order_by("code")
            .values_list("code", "note")
        ),
    )


def _chosen(
    course: Course, section_ids: Collection[int], week: str
) -> tuple[SectionList, ...]:
    found = Section.objects.filter(course=course).order_by("code")
    if section_ids:
        found = found.filter(pk__in=section_ids)
    sections = [
        one for one in found if section_ids or not week or week_of(one.opens_at) == week
    ]
    rows: dict[int, list[VialRow]] = {}
    ids = [one.pk for one in sections]
    vials = dict(
        Issue.objects.live()
        .filter(group__section__in=ids)
        .values_list("group_id", "vial__code")
    )
    groups = Group.objects.filter(section__in=ids).select_related("planned_station")
    for group in groups:
        station = group.planned_station.code if group.planned_station else ""
        row = VialRow(group.code, group.place, vials.get(group.pk, ""), station)
        rows.setdefault(group.section_id, []).append(row)
    return tuple(
        SectionList(
            one.code,
            one.title,
            one.opens_at,
            tuple(sorted(rows.get(one.pk, []), key=_along_the_benches)),
        )
        for one in sections
    )


def _along_the_benches(row: VialRow) -> tuple[float, tuple[int, str]]:
    place = float("inf") if row.place is None else float(row.place)
    return place, as_counted(row.group)


def _waste(
    course: Course,
    rules: ProtocolRules,
    plan: PrepPlan,
    sections: Collection[SectionList],
) -> Waste:
    each_mL = waste_per_group_mL(
        rules.scheme,
        blank_flasks=int(plan.blank_flasks),
        rinsings=plan.rinsings_percent / 100,
    )
    sizes = [len(one.rows) for one in sections]
    here_mL = each_mL * sum(sizes)
    return Waste(
        per_group_mL=each_mL,
        per_section_mL=each_mL * max(sizes, default=0),
        here_mL=here_mL,
        term_mL=each_mL * Group.objects.filter(section__course=course).count(),
        n_containers=containers(here_mL, plan.container_mL, plan.fill_percent / 100),
    )


def _check(rules: ProtocolRules) -> CheckStandard:
    scheme = rules.scheme
    tube = scheme.standards[len(scheme.standards) // 2]
    working = step_concentrations(scheme, scheme.standard_mass_g)[-1]
    mg_L = working * tube.take_mL / tube.make_up_mL
    slope = slope_per_mg_L(_TEXTBOOK_ABSORPTIVITY, _IRON_G_PER_MOL, scheme.path_cm)
    return CheckStandard(tube.label, mg_L, slope * mg_L)
