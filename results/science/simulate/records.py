"""The invented course as finished values, ready to be entered or compared with."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Slip:
    """One thing that went wrong, as it really was.

    ``code`` is the family a finding would name, ``detail`` the exact deed, ``tube``
    the tube or the tubes (separated by a comma), ``size`` the relative change of the
    quantity concerned unless ``detail`` says otherwise.
    """

    code: str
    detail: str
    tube: str = ""
    size: float = 0.0


@dataclass(frozen=True, slots=True)
class InventedStation:
    """One instrument station; ``fault`` is empty at a sound one."""

    code: str
    place: str
    scale: str
    step: float
    fault: str


@dataclass(frozen=True, slots=True)
class InventedLot:
    """One lot: what the key says, what is true, and the fault that parts them."""

    code: str
    iron_percent: float
    u_iron_percent: float
    true_iron_percent: float
    fault: str


@dataclass(frozen=True, slots=True)
class InventedVial:
    """One vial of a lot."""

    code: str
    lot: str


@dataclass(frozen=True, slots=True)
class InventedSection:
    """One class meeting, dated from midnight of the Monday the term begins.

    Work is due ``due_after_hours`` after the start.
    """

    code: str
    day: int
    hour: int
    length_hours: float
    due_after_hours: float
    assistants: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class InventedReading:
    """One value as typed, on the station's own scale."""

    tube: str
    replicate: int
    position: int
    taken_mL: float
    value: float


@dataclass(frozen=True, slots=True)
class InventedSubmission:
    """What a group typed; worked answers keep the digits they were given with.

    A worked answer left blank is the empty text. ``received_minutes`` counts from
    the start of the section's meeting.
    """

    standard_mass_g: float
    unknown_mass_g: float
    readings: tuple[InventedReading, ...]
    own_slope: str
    own_intercept: str
    own_unknown_mg_L: str
    own_iron_percent: str
    is_late: bool
    received_minutes: int


@dataclass(frozen=True, slots=True)
class Truth:
    """What really happened to a group.

    ``measured_iron_percent`` differs from ``true_iron_percent`` where the group used
    another vial's powder. A worked slip is visible if it changed a reported digit.
    """

    true_iron_percent: float
    measured_iron_percent: float
    slips: tuple[Slip, ...]
    worked_slips: tuple[Slip, ...]
    worked_slip_is_visible: bool


@dataclass(frozen=True, slots=True)
class InventedGroup:
    """One group; ``submission`` is missing where nothing was handed in yet."""

    section: str
    number: int
    students: tuple[str, ...]
    vial: str
    station: str
    submission: InventedSubmission | None
    truth: Truth


@dataclass(frozen=True, slots=True)
class InventedCourse:
    """A whole course of one term."""

    college: str
    code: str
    title: str
    term: str
    protocol: dict[str, Any]
    stations: tuple[InventedStation, ...]
    lots: tuple[InventedLot, ...]
    vials: tuple[InventedVial, ...]
    sections: tuple[InventedSection, ...]
    groups: tuple[InventedGroup, ...]
