"""The bench sheet: what a group needs to see while it works and types."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from results.models import Group, Issue, Protocol, Section, Station, Submission
from results.policy.codes import VIAL_LENGTH
from results.policy.protocol import ProtocolRules, Reagent, Span, read_protocol
from results.policy.typed import OWN_FIELDS
from results.science.scheme import Step, Tube


class Door(StrEnum):
    """Whether a section accepts submissions."""

    NOT_OPEN = "not_open"
    OPEN = "open"
    LATE = "late"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class StationChoice:
    """A station that can be chosen."""

    code: str
    place: str
    scale: str
    step: float
    in_service: bool


@dataclass(frozen=True, slots=True)
class Flask:
    """One move of a dilution chain: make up to, or take with."""

    take_mL: float | None
    make_up_mL: float | None
    delivery: str


@dataclass(frozen=True, slots=True)
class TubeSheet:
    """One tube to prepare and read."""

    label: str
    kind: str
    take_mL: float
    make_up_mL: float
    delivery: str


@dataclass(frozen=True, slots=True)
class TypedReading:
    """A reading of the current submission."""

    tube: str
    replicate: int
    value: float
    taken_mL: float | None


@dataclass(frozen=True, slots=True)
class TypedBefore:
    """The current submission, so that a revision starts from it."""

    revision: int
    received_at: datetime
    station: str
    scale: str
    standard_mass_g: float
    unknown_mass_g: float
    readings: tuple[TypedReading, ...]
    own: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchSheet:
    """Everything on a group's bench sheet.

    Attributes
    ----------
    door : Door
        Whether a submission would be accepted now.
    planned_station : str
        Where the group is sent; empty if nowhere, or to a station out of service.
    vial_label_length : int
        Signs of a label with a check sign; 0 where the course has labels of its own.
    standard_mass_g, unknown_mass_g, percent_T, absorbance : Span
        Plausible values, shown beside the boxes.
    """

    course: str
    course_title: str
    section: str
    group: str
    students: tuple[str, ...]
    vial: str
    planned_station: str
    vial_label_length: int
    door: Door
    opens_at: datetime | None
    due_at: datetime | None
    closes_at: datetime | None
    protocol_version: int
    wavelength_nm: float
    path_cm: float
    formula: str
    develop_min: float
    nominal_standard_mass_g: float
    nominal_unknown_mass_g: float
    standard_mass_g: Span
    unknown_mass_g: Span
    percent_T: Span
    absorbance: Span
    standard_flasks: tuple[Flask, ...]
    unknown_flasks: tuple[Flask, ...]
    tubes: tuple[TubeSheet, ...]
    stations: tuple[StationChoice, ...]
    reagents: tuple[Reagent, ...]
    cautions: tuple[str, ...]
    typed_before: TypedBefore | None


def door_of(section: Section, now: datetime) -> Door:
    """Return whether a section accepts submissions at a moment."""
    if section.opens_at is not None and now < section.opens_at:
        return Door.NOT_OPEN
    if section.closes_at is not None and now >= section.closes_at:
        return Door.CLOSED
    if section.due_at is not None and now > section.due_at:
        return Door.LATE
    return Door.OPEN


def bench_sheet(group_id: int, *, now: datetime) -> BenchSheet | None:
    """Return a group's bench sheet; None while its course has no protocol."""
    group = Group.objects.select_related("section__course", "planned_station").get(
        pk=group_id
    )
    course = group.section.course
    protocol = Protocol.objects.filter(course=course).order_by("-version").first()
    if protocol is None:
        return None
    rules = read_protocol(protocol.document)
    scheme = rules.scheme
    issue = (
        Issue.objects.filter(group=group, ended_at__isnull=True)
        .select_related("vial")
        .first()
    )
    return BenchSheet(
        course=course.code,
        course_title=course.title,
        section=group.section.code,
        group=group.code,
        students=_students(group),
        vial=issue.vial.code if issue else "",
        planned_station=_planned(group.planned_station),
        vial_label_length=VIAL_LENGTH if course.vial_labels_checked else 0,
        door=door_of(group.section, now),
        opens_at=group.section.opens_at,
        due_at=group.section.due_at,
        closes_at=group.section.closes_at,
        protocol_version=protocol.version,
        wavelength_nm=scheme.wavelength_nm,
        path_cm=scheme.path_cm,
        formula=scheme.formula,
        develop_min=rules.develop_min,
        nominal_standard_mass_g=scheme.standard_mass_g,
        nominal_unknown_mass_g=scheme.unknown_mass_g,
        standard_mass_g=rules.standard_mass_g,
        unknown_mass_g=rules.unknown_mass_g,
        percent_T=rules.percent_T,
        absorbance=rules.absorbance,
        standard_flasks=_flasks(scheme.standard_steps),
        unknown_flasks=_flasks(scheme.unknown_steps),
        tubes=_tubes(rules),
        stations=_stations(course.pk),
        reagents=rules.reagents,
        cautions=rules.cautions,
        typed_before=_typed_before(group),
    )


def _planned(station: Station | None) -> str:
    return station.code if station is not None and station.in_service else ""


def _students(group: Group) -> tuple[str, ...]:
    return tuple(group.students.order_by("name").values_list("name", flat=True))


def _flasks(steps: tuple[Step, ...]) -> tuple[Flask, ...]:
    return tuple(
        Flask(step.take_mL, None, step.delivery)
        if step.is_take
        else Flask(None, step.make_up_mL, "")
        for step in steps
    )


def _tubes(rules: ProtocolRules) -> tuple[TubeSheet, ...]:
    def sheet(tube: Tube, kind: str) -> TubeSheet:
        return TubeSheet(tube.label, kind, tube.take_mL, tube.make_up_mL, tube.delivery)

    return tuple(sheet(tube, "standard") for tube in rules.scheme.standards) + tuple(
        sheet(tube, "unknown") for tube in rules.scheme.unknowns
    )


def _stations(course_id: int) -> tuple[StationChoice, ...]:
    return tuple(
        StationChoice(*row)
        for row in Station.objects.filter(course_id=course_id)
        .order_by("code")
        .values_list("code", "place", "scale", "step", "in_service")
    )


def _typed_before(group: Group) -> TypedBefore | None:
    current = (
        Submission.objects.filter(group=group, is_current=True)
        .select_related("station")
        .first()
    )
    if current is None:
        return None
    return TypedBefore(
        revision=current.revision,
        received_at=current.received_at,
        station=current.station.code,
        scale=current.scale,
        standard_mass_g=current.standard_mass_g,
        unknown_mass_g=current.unknown_mass_g,
        readings=tuple(
            TypedReading(*row)
            for row in current.readings.order_by("position").values_list(
                "tube", "replicate", "value", "taken_mL"
            )
        ),
        own={name: getattr(current, name) for name in OWN_FIELDS},
    )
