"""Where an answer's uncertainty comes from, and every tolerance behind it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.glassware import (
    FROM_MEMORY,
    GLASSWARE,
    JUDGEMENT,
    SETTING,
    Tolerances,
)
from results.science.scheme import Scheme, Step, Tube

#: The sources an answer's uncertainty is split into.
SOURCES = (
    "calibration",
    "reading",
    "masses",
    "flasks",
    "pipettes",
    "burette",
    "purity",
)


@dataclass(frozen=True, slots=True)
class FillVariance:
    """Relative variances from volumes, one number or one for each of k tubes."""

    flasks: FloatArray
    pipettes: FloatArray
    burette: FloatArray

    @property
    def total(self) -> FloatArray:
        """All of it."""
        return np.asarray(self.flasks + self.pipettes + self.burette)


@dataclass(frozen=True, slots=True)
class TubeFill:
    """How k tubes are filled; every field has shape (k,).

    ``flasks`` is the relative variance of the flask, ``fixed`` the variance of the
    delivery that does not depend on its volume (mL²), ``proportional`` the relative
    variance of the delivery beside it.
    """

    flasks: FloatArray
    fixed: FloatArray
    proportional: FloatArray
    by_burette: BoolArray

    def variance(self, taken_mL: FloatArray, order: IntArray | None) -> FillVariance:
        """Relative variances of tubes that so much was taken for.

        Parameters
        ----------
        taken_mL : array (k', C)
            Nothing taken gives no variance.
        order : array of int (k', C), optional
            Which of the tubes they are, if not all of them in order.
        """
        place = np.arange(len(self.flasks))[:, None] if order is None else order
        some = taken_mL > 0.0
        flasks = self.flasks[place]
        with np.errstate(divide="ignore", invalid="ignore"):
            delivery = self.fixed[place] / (taken_mL * taken_mL)
        delivery += self.proportional[place]
        if not some.all():
            flasks, delivery = (
                np.where(some, flasks, 0.0),
                np.where(some, delivery, 0.0),
            )
        if not self.by_burette.any():
            return FillVariance(flasks, delivery, np.zeros((1, 1)))
        if self.by_burette.all():
            return FillVariance(flasks, np.zeros((1, 1)), delivery)
        burette = self.by_burette[place]
        return FillVariance(
            flasks, np.where(burette, 0.0, delivery), np.where(burette, delivery, 0.0)
        )


@dataclass(frozen=True, slots=True)
class SharedVariance:
    """What all tubes of one side share, so that no residual can show it.

    The flasks and deliveries of the single tubes are left out: those of the
    standards scatter the points about their line and are counted there, those of
    the unknown tubes are counted with the tubes.  Counting them here as well would
    count them twice.

    Attributes
    ----------
    standard_side, unknown_side : FillVariance
        Relative variance from the volumes of either chain.
    purity : float
        Relative variance of the standard's purity.
    balance_u_g : float
        Standard uncertainty of one weighing, g.
    """

    standard_side: FillVariance
    unknown_side: FillVariance
    purity: float
    balance_u_g: float


@dataclass(frozen=True, slots=True)
class Tolerance:
    """One tolerance in force, for people to check.

    Attributes
    ----------
    item : str
        Such as ``"100 mL flask"``.
    value, unit
        The limit ± or the standard uncertainty that was stated.
    distribution : str
        What ``value`` stands for: triangular, rectangular or standard uncertainty.
    handling_sd : float
        Scatter of the filling that is added, in the same unit; zero if none.
    standard_uncertainty : float
        What follows from both, in the same unit.
    standard, provenance : str
        The document the value is found in, and how far it was checked.
    """

    item: str
    value: float
    unit: str
    distribution: str
    handling_sd: float
    standard_uncertainty: float
    standard: str
    provenance: str


def tube_fill(scheme: Scheme, tubes: Sequence[Tube]) -> TubeFill:
    """How well the scheme's tubes of one side are filled."""
    tolerances = scheme.tolerances
    return TubeFill(
        flasks=np.array(
            [_relative_variance(tolerances, "flask", tube.make_up_mL) for tube in tubes]
        ),
        fixed=np.array(
            [tolerances.fixed_sd_mL(tube.delivery, tube.take_mL) ** 2 for tube in tubes]
        ),
        proportional=np.array(
            [
                tolerances.proportional_sd(tube.delivery, tube.take_mL) ** 2
                for tube in tubes
            ]
        ),
        by_burette=np.array([tube.delivery == "burette" for tube in tubes]),
    )


def shared_variance(scheme: Scheme) -> SharedVariance:
    """Relative variances that all tubes of a scheme share."""
    return SharedVariance(
        standard_side=_of_chain(scheme.tolerances, scheme.standard_steps),
        unknown_side=_of_chain(scheme.tolerances, scheme.unknown_steps),
        purity=(scheme.purity_u / scheme.purity) ** 2,
        balance_u_g=scheme.tolerances.balance_u_g,
    )


def tolerances_in_force(scheme: Scheme) -> tuple[Tolerance, ...]:
    """List every tolerance that the scheme's answers rest on, each once.

    Examples
    --------
    >>> from results.science.dilution import parse_scheme
    >>> from results.science.simulate import invented_scheme
    >>> tolerances_in_force(parse_scheme(invented_scheme()))[0].item
    'weighing'
    """
    return (
        _weighing(scheme),
        _purity(scheme),
        *(_of_volume(scheme.tolerances, *used) for used in _volumes_used(scheme)),
        *_readings(scheme),
    )


def _of_chain(tolerances: Tolerances, steps: Sequence[Step]) -> FillVariance:
    flasks = pipettes = burette = 0.0
    for step in steps:
        if not step.is_take:
            flasks += _relative_variance(tolerances, "flask", step.make_up_mL)
        elif step.delivery == "burette":
            burette += _relative_variance(tolerances, step.delivery, step.take_mL)
        else:
            pipettes += _relative_variance(tolerances, step.delivery, step.take_mL)
    return FillVariance(np.array(flasks), np.array(pipettes), np.array(burette))


def _relative_variance(tolerances: Tolerances, device: str, volume_mL: float) -> float:
    return (tolerances.standard_uncertainty_mL(device, volume_mL) / volume_mL) ** 2


def _volumes_used(scheme: Scheme) -> list[tuple[str, float]]:
    used: dict[tuple[str, float], None] = {}
    for step in (*scheme.standard_steps, *scheme.unknown_steps):
        if step.is_take:
            used[step.delivery, step.take_mL] = None
        else:
            used["flask", step.make_up_mL] = None
    for tube in (*scheme.standards, *scheme.unknowns):
        if tube.take_mL > 0.0:
            used[tube.delivery, tube.take_mL] = None
            used["flask", tube.make_up_mL] = None
    return sorted(used)


def _of_volume(tolerances: Tolerances, device: str, volume_mL: float) -> Tolerance:
    override = tolerances.override_of(device, volume_mL)
    stated = override is not None and not np.isnan(override.u_mL)
    table = GLASSWARE[tolerances.glassware][device]
    u_mL = tolerances.standard_uncertainty_mL(device, volume_mL)
    return Tolerance(
        item=f"{volume_mL:g} mL {device}",
        value=u_mL if stated else tolerances.limit_mL(device, volume_mL),
        unit="mL",
        distribution="standard uncertainty" if stated else tolerances.distribution,
        handling_sd=0.0 if stated else tolerances.handling_sd_mL(device, volume_mL),
        standard_uncertainty=u_mL,
        standard="" if override is not None else table.standard,
        provenance=SETTING if override is not None else table.provenance,
    )


def _weighing(scheme: Scheme) -> Tolerance:
    u_g = scheme.tolerances.balance_u_g
    usual = u_g == Tolerances().balance_u_g
    return Tolerance(
        item="weighing",
        value=u_g,
        unit="g",
        distribution="standard uncertainty",
        handling_sd=0.0,
        standard_uncertainty=u_g,
        standard="",
        provenance=f"{JUDGEMENT}: a four-place balance" if usual else SETTING,
    )


def _purity(scheme: Scheme) -> Tolerance:
    return Tolerance(
        item="purity of the standard",
        value=scheme.purity_u,
        unit="g/g",
        distribution="standard uncertainty",
        handling_sd=0.0,
        standard_uncertainty=scheme.purity_u,
        standard="",
        provenance=SETTING,
    )


def _readings(scheme: Scheme) -> tuple[Tolerance, Tolerance]:
    reading = scheme.reading
    unit = "%T" if reading.scale == "percent_T" else "absorbance"
    scatter = Tolerance(
        item="one reading",
        value=reading.sd,
        unit=unit,
        distribution="standard uncertainty",
        handling_sd=0.0,
        standard_uncertainty=reading.sd,
        standard="",
        provenance=SETTING,
    )
    half_step = Tolerance(
        item="rounding to the meter's step",
        value=reading.step / 2.0,
        unit=unit,
        distribution="rectangular",
        handling_sd=0.0,
        standard_uncertainty=reading.step / 12.0**0.5,
        standard="JCGM 100:2008, F.2.2.1",
        provenance=FROM_MEMORY,
    )
    return scatter, half_step
