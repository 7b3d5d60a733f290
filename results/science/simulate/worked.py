"""The answers that groups work out themselves, as they write them down."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from results.science.simulate.draw import ClassDraw
from results.science.simulate.records import Slip
from results.science.simulate.slips import apply_each
from results.science.simulate.worked_slips import WORKED_SLIPS, Exchange, Workings

Array = NDArray[np.float64]

#: Chance of each arithmetic slip in a group. These are assumptions, not counts.
WORKED_SLIP_RATES: Mapping[str, float] = {
    "salt_as_iron": 0.02,
    "hydrate_ignored": 0.01,
    "standards_dilution_skipped": 0.015,
    "unknown_dilution_skipped": 0.03,
    "dilution_inverted": 0.005,
    "dilution_twice": 0.003,
    "percent_fraction": 0.01,
    "forced_origin": 0.05,
    "intercept_dropped": 0.03,
    "nominal_mass": 0.02,
    "moles_as_grams": 0.005,
    "natural_log": 0.005,
    "decimal_point": 0.01,
    "percent_plotted": 0.003,
    "axes_swapped": 0.003,
    "rounded_early": 0.005,
    "unexplained": 0.003,
}
_FIGURES, _FIGURES_SHARE = (3, 2, 4), (0.70, 0.15, 0.15)
# Some write absorbances down to three decimals before they go on; it does no harm.
_THREE_DECIMALS_SHARE = 0.3


@dataclass(frozen=True, slots=True)
class WorkedAnswer:
    """One group's own answer, each number with the digits it was written with."""

    slope: str
    intercept: str
    unknown_mg_L: str
    iron_percent: str


@dataclass(frozen=True, slots=True)
class WorkedDraw:
    """The worked answers of N groups, the slips in them, and which of those show."""

    answers: tuple[WorkedAnswer, ...]
    slips: tuple[tuple[Slip, ...], ...]
    is_visible: NDArray[np.bool_]


def draw_worked_answers(
    rng: Generator,
    drawn: ClassDraw,
    *,
    slip_rate_factor: float = 1.0,
    slip_rates: Mapping[str, float] | None = None,
    figures: int | None = None,
) -> WorkedDraw:
    """Work out every group's answer the way the group would.

    The group works from its notebook, so what was mistyped only later does not reach
    its answer.

    Parameters
    ----------
    rng : Generator
    drawn : ClassDraw
        The class, N groups.
    slip_rate_factor : float
        Multiplies every rate.
    slip_rates : mapping, optional
        Chance of each slip in place of ``WORKED_SLIP_RATES``.
    figures : int, optional
        Significant figures of every number; mostly three if missing.
    """
    chosen = WORKED_SLIP_RATES if slip_rates is None else slip_rates
    rates = {name: min(1.0, slip_rate_factor * rate) for name, rate in chosen.items()}
    digits_rng, slip_rng = rng.spawn(2)
    n_groups = len(drawn.layout)
    written = digits_rng.choice(_FIGURES, n_groups, p=_FIGURES_SHARE)
    if figures is not None:
        written[:] = figures
    decimals = np.where(digits_rng.random(n_groups) < _THREE_DECIMALS_SHARE, 3, 15)
    workings = begin(drawn, decimals)
    clean = _write(work_out(workings), written)
    slips = apply_each(slip_rng, workings, rates, WORKED_SLIPS)
    answers = _write(work_out(workings), written)
    shows = [mine != right for mine, right in zip(answers, clean, strict=True)]
    return WorkedDraw(
        answers=tuple(answers),
        slips=tuple(tuple(happened) for happened in slips),
        is_visible=np.array(shows, dtype=bool),
    )


def begin(drawn: ClassDraw, decimals: NDArray[np.int_]) -> Workings:
    """Lay out the notebook's numbers, before anything is worked out or spoilt."""
    notes, plan = drawn.notebook, drawn.plan
    n_groups, n = len(drawn.layout), len(plan.standards.tubes)
    in_absorbance = notes.reads_absorbance[:, np.newaxis]
    absorbance = np.where(
        in_absorbance, notes.values, 2 - np.log10(np.maximum(notes.values, 0.01))
    )
    ones = np.ones(n_groups)
    return Workings(
        plan=plan,
        layout=drawn.layout,
        standard_mass_g=notes.standard_mass_g.copy(),
        unknown_mass_g=notes.unknown_mass_g.copy(),
        standard_taken_mL=notes.standard_taken_mL,
        unknown_taken_mL=notes.unknown_taken_mL,
        standard_signal=absorbance[:, :n].copy(),
        unknown_signal=absorbance[:, n:].copy(),
        decimals=np.broadcast_to(decimals, n_groups).copy(),
        iron_fraction=plan.scheme.analyte_fraction * ones,
        standard_factor=ones.copy(),
        unknown_factor=ones.copy(),
        final_factor=ones.copy(),
        through_origin=np.zeros(n_groups, dtype=bool),
        intercept_sign=ones.copy(),
        exchange=np.full(n_groups, Exchange.NONE),
    )


def work_out(workings: Workings) -> Array:
    """Slope, intercept, unknown (mg/L) and iron (% by mass) of N groups; (4, N).

    The line is fitted by ordinary least squares, as a spreadsheet does it.
    """
    standards, unknown = workings.plan.standards, workings.plan.unknown
    decimals = workings.decimals[:, np.newaxis]
    signal = _round(workings.standard_signal, decimals)
    unknown_signal = _round(workings.unknown_signal, decimals).mean(axis=1)
    salt_mg = workings.standard_mass_g * 1000 * workings.plan.scheme.purity
    stock_mg_L = salt_mg * workings.iron_fraction / standards.flask_mL[0] * 1000
    working_mg_L = stock_mg_L * np.prod(standards.dilutions) * workings.standard_factor
    shares = workings.standard_taken_mL / standards.tube_flask_mL
    x = working_mg_L[:, np.newaxis] * shares
    slope, intercept = _fit(x, signal, workings.through_origin)
    turned_slope, turned_intercept = _fit(signal, x, np.zeros(len(x), dtype=bool))
    turned = workings.exchange == Exchange.PLOTTED
    found = (unknown_signal - workings.intercept_sign * intercept) / slope
    found = np.where(
        workings.exchange == Exchange.SOLVED, slope * unknown_signal + intercept, found
    )
    found = np.where(turned, turned_slope * unknown_signal + turned_intercept, found)
    in_tube = unknown.tube_flask_mL / workings.unknown_taken_mL
    back = in_tube.mean(axis=1) / np.prod(unknown.dilutions) * workings.unknown_factor
    iron_mg = found * back * unknown.flask_mL[0] / 1000
    percent = 100 * iron_mg / (workings.unknown_mass_g * 1000) * workings.final_factor
    return np.stack(
        [
            np.where(turned, turned_slope, slope),
            np.where(turned, turned_intercept, intercept),
            found,
            percent,
        ]
    )


def _fit(x: Array, y: Array, through_origin: NDArray[np.bool_]) -> tuple[Array, Array]:
    x_mean, y_mean = x.mean(axis=1, keepdims=True), y.mean(axis=1, keepdims=True)
    # Through the origin nothing is centred, and the intercept comes out as zero.
    free = ~through_origin[:, np.newaxis]
    x_from, y_from = x - x_mean * free, y - y_mean * free
    slope = (x_from * y_from).sum(axis=1) / (x_from**2).sum(axis=1)
    intercept = (y_mean[:, 0] - slope * x_mean[:, 0]) * ~through_origin
    return slope, intercept


def _round(values: Array, decimals: NDArray[np.int_]) -> Array:
    scale = np.power(10.0, decimals)
    return np.asarray(np.round(values * scale) / scale)


def _write(numbers: Array, figures: NDArray[np.int_]) -> list[WorkedAnswer]:
    written = []
    for (slope, intercept, found, percent), digits in zip(
        numbers.T, figures, strict=True
    ):
        # A sheet shows the intercept with as many decimals as the slope.
        decimals = max(0, int(digits) - 1 - _magnitude(slope))
        written.append(
            WorkedAnswer(
                slope=to_figures(float(slope), int(digits)),
                intercept=f"{intercept:z.{decimals}f}",
                unknown_mg_L=to_figures(float(found), int(digits)),
                iron_percent=to_figures(float(percent), int(digits)),
            )
        )
    return written


def to_figures(value: float, figures: int) -> str:
    """Write a number with so many significant figures, zeros kept, no exponent.

    Examples
    --------
    >>> to_figures(0.19996, 3), to_figures(11.0, 3), to_figures(1234.5, 2)
    ('0.200', '11.0', '1200')
    """
    if not math.isfinite(value):
        return ""
    rounded = round(value, figures - 1 - _magnitude(value))
    # Rounding up may have carried into a new place.
    decimals = figures - 1 - _magnitude(rounded)
    return f"{rounded:.{max(0, decimals)}f}"


def _magnitude(value: float) -> int:
    return math.floor(math.log10(abs(value))) if value and math.isfinite(value) else 0
