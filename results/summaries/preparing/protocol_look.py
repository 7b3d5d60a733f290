"""What a protocol promises at nominal masses and volumes, for a course's lots."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np

from results.models import AssignedValues, Course, Lot
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.protocol import read_protocol
from results.policy.protocol_warnings import LotContent, protocol_warnings
from results.science.arrays import FloatArray
from results.science.dilution import Scheme, step_concentrations
from results.science.expected import (
    Expected,
    expected_at,
    expected_slope,
    expected_standards,
    expected_unknowns,
    unknown_step_mg_L,
)
from results.science.noise import reading_sd
from results.science.scheme import Step, Tube

#: Iron contents to plan for where a course has no lot with a value yet, % by mass.
USUAL_PERCENT = (6.0, 16.0)
_N_ALONG = 60
_HEADROOM = 1.08


@dataclass(frozen=True, slots=True)
class FlaskLook:
    """One flask of a chain, and how it is filled.

    Attributes
    ----------
    take_mL, delivery : float or None, str
        What is taken of the flask before it, and with what; None of a weighed solid.
    ratio : float or None
        The dilution, as in 1 : 20.
    mg_L_low, mg_L_high : float
        The same for a standard; for the unknown, over the contents that may come.
    """

    make_up_mL: float
    take_mL: float | None
    delivery: str
    ratio: float | None
    mg_L_low: float
    mg_L_high: float


@dataclass(frozen=True, slots=True)
class Reads:
    """What a solution should read.

    Attributes
    ----------
    relative_sd : float
        Standard deviation of the concentration from one reading, relative to it.
    """

    mg_L: float
    absorbance: float
    percent_T: float
    relative_sd: float

    @property
    def error_percent(self) -> float:
        """The relative standard deviation in percent."""
        return 100 * self.relative_sd


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeLook:
    """One tube and what it should read; one of the unknown, at the most iron."""

    tube: str
    take_mL: float
    delivery: str
    make_up_mL: float
    mg_L_low: float
    mg_L_high: float
    reads: Reads


@dataclass(frozen=True, slots=True)
class ContentLook:
    """One iron content and what its tubes should read.

    `name` is that of the lot or the end of a range, with its tubes where these are
    not all one dilution.
    """

    name: str
    iron_percent: float
    reads: Reads


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtocolLook:
    """What a protocol promises, at nominal masses and volumes.

    Attributes
    ----------
    has_lots : bool
        Whether the contents are those of the course's lots, or an assumed range.
    sd : float
        Standard deviation of one reading, rounding included, on the scale.
    """

    formula: str
    standard_mass_g: float
    standard_flasks: tuple[FlaskLook, ...]
    standards: tuple[TubeLook, ...]
    unknown_mass_g: float
    unknown_flasks: tuple[FlaskLook, ...]
    unknown_tubes: tuple[TubeLook, ...]
    contents: tuple[ContentLook, ...]
    has_lots: bool
    slope: float
    wavelength_nm: float
    scale: str
    sd: float
    along: tuple[Reads, ...]
    warnings: tuple[str, ...]


def protocol_look(
    course_code: str,
    document: Mapping[str, Any],
    *,
    assumed_percent: tuple[float, float],
    rights: Rights,
    now: datetime,
) -> ProtocolLook:
    """Return what a document promises for a course; three queries.

    Parameters
    ----------
    assumed_percent : (float, float)
        Iron contents to plan for while no lot of the course has a value.
    now : datetime
        When the values of lots are looked up.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    NotAdmitted
        The document has problems; all of them are named.
    """
    course = coordinated_course(course_code, rights=rights)
    rules = read_protocol(document)
    scheme = rules.scheme
    lots = _lot_contents(course, now)
    contents = lots or [
        LotContent(f"iron at its {word}", percent)
        for word, percent in zip(("least", "most"), assumed_percent, strict=True)
    ]
    percents = np.array([one.iron_percent for one in contents])
    ends = np.array([percents.min(), percents.max()])
    return ProtocolLook(
        formula=scheme.formula,
        standard_mass_g=scheme.standard_mass_g,
        standard_flasks=_flasks(
            scheme.standard_steps,
            [(c, c) for c in step_concentrations(scheme, scheme.standard_mass_g)],
        ),
        standards=_standards(scheme),
        unknown_mass_g=scheme.unknown_mass_g,
        unknown_flasks=_flasks(
            scheme.unknown_steps,
            [(low, high) for low, high in unknown_step_mg_L(scheme, ends).T],
        ),
        unknown_tubes=_unknown_tubes(scheme, ends),
        contents=_contents(scheme, contents),
        has_lots=bool(lots),
        slope=expected_slope(scheme),
        wavelength_nm=scheme.wavelength_nm,
        scale=scheme.reading.scale,
        sd=reading_sd(scheme.reading),
        along=_along(scheme, ends),
        warnings=protocol_warnings(rules, contents),
    )


def _lot_contents(course: Course, now: datetime) -> list[LotContent]:
    lots = list(Lot.objects.filter(course=course).order_by("code"))
    values = AssignedValues(lot.pk for lot in lots)
    found = ((lot.code, values.at(lot.pk, now)) for lot in lots)
    return [LotContent(f"lot {code}", v.iron_percent) for code, v in found if v]


def _flasks(
    steps: Sequence[Step], spans: Sequence[tuple[float, float]]
) -> tuple[FlaskLook, ...]:
    flasks: list[FlaskLook] = []
    taken: Step | None = None
    for step in steps:
        if step.is_take:
            taken = step
            continue
        low, high = spans[len(flasks)]
        flasks.append(
            FlaskLook(
                make_up_mL=step.make_up_mL,
                take_mL=taken.take_mL if taken else None,
                delivery=taken.delivery if taken else "",
                ratio=step.make_up_mL / taken.take_mL if taken else None,
                mg_L_low=float(low),
                mg_L_high=float(high),
            )
        )
        taken = None
    return tuple(flasks)


def _standards(scheme: Scheme) -> tuple[TubeLook, ...]:
    expected = expected_standards(scheme)
    return tuple(
        _tube(tube, float(expected.mg_L[i]), float(expected.mg_L[i]), _one(expected, i))
        for i, tube in enumerate(scheme.standards)
    )


def _unknown_tubes(scheme: Scheme, ends: FloatArray) -> tuple[TubeLook, ...]:
    expected = expected_unknowns(scheme, ends)
    return tuple(
        _tube(
            tube,
            float(expected.mg_L[0, i]),
            float(expected.mg_L[1, i]),
            _one(expected, (1, i)),
        )
        for i, tube in enumerate(scheme.unknowns)
    )


def _tube(tube: Tube, low: float, high: float, reads: Reads) -> TubeLook:
    return TubeLook(
        tube=tube.label,
        take_mL=tube.take_mL,
        delivery=tube.delivery,
        make_up_mL=tube.make_up_mL,
        mg_L_low=low,
        mg_L_high=high,
        reads=reads,
    )


def _one(expected: Expected, place: int | tuple[int, int]) -> Reads:
    return Reads(
        mg_L=float(expected.mg_L[place]),
        absorbance=float(expected.absorbance[place]),
        percent_T=float(expected.percent_T[place]),
        relative_sd=float(expected.relative_sd[place]),
    )


def _contents(
    scheme: Scheme, contents: Sequence[LotContent]
) -> tuple[ContentLook, ...]:
    """Replicate tubes are told once, under all their names."""
    expected = expected_unknowns(
        scheme, np.array([one.iron_percent for one in contents])
    )
    alike: dict[float, list[int]] = {}
    for i, tube in enumerate(scheme.unknowns):
        alike.setdefault(tube.take_mL / tube.make_up_mL, []).append(i)

    def named(content: LotContent, places: list[int]) -> str:
        labels = ", ".join(scheme.unknowns[i].label for i in places)
        return content.name if len(alike) == 1 else f"{content.name}, {labels}"

    return tuple(
        ContentLook(
            named(content, places),
            content.iron_percent,
            _one(expected, (row, places[0])),
        )
        for row, content in enumerate(contents)
        for places in alike.values()
    )


def _along(scheme: Scheme, ends: FloatArray) -> tuple[Reads, ...]:
    strongest = max(
        float(expected_standards(scheme).mg_L.max()),
        float(expected_unknowns(scheme, ends).mg_L.max()),
    )
    reach = np.linspace(0.0, _HEADROOM * strongest, _N_ALONG + 1)[1:]
    expected = expected_at(scheme, reach)
    return tuple(_one(expected, i) for i in range(_N_ALONG))
