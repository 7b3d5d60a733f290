"""What goes wrong in a group's own arithmetic, one function a slip."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from results.science.formula import molar_mass
from results.science.simulate.layout import Layout
from results.science.simulate.plan import Plan
from results.science.simulate.records import Slip

Array = NDArray[np.float64]

# Water of crystallisation as a formula writes it: (H2O)6 or ·6H2O.
_WATER = re.compile(r"\(H2O\)\d*|[·.*]\d*H2O")


class Exchange(IntEnum):
    """How the axes were taken for one another."""

    NONE = 0
    PLOTTED = 1
    SOLVED = 2


@dataclass(slots=True)
class Workings:
    """The working of N groups, step by step; slips change it in place.

    The factors multiply the standards' concentrations, the way back from the tube to
    the powder, and the final percentage; ``intercept_sign`` is 1 where the intercept
    is taken off, 0 where it is left out, −1 where it is added.
    """

    plan: Plan
    layout: Layout
    standard_mass_g: Array
    unknown_mass_g: Array
    standard_taken_mL: Array
    unknown_taken_mL: Array
    standard_signal: Array
    unknown_signal: Array
    decimals: NDArray[np.int_]
    iron_fraction: Array
    standard_factor: Array
    unknown_factor: Array
    final_factor: Array
    through_origin: NDArray[np.bool_]
    intercept_sign: Array
    exchange: NDArray[np.int_]


WorkedSlip = Callable[[Generator, Workings, int], Slip | None]


def _salt_as_iron(_rng: Generator, work: Workings, group: int) -> Slip:
    work.iron_fraction[group] = 1.0
    return Slip("worked_salt_as_iron", "salt_mass_used_as_iron_mass")


def _hydrate_ignored(_rng: Generator, work: Workings, group: int) -> Slip | None:
    formula = work.plan.scheme.formula
    dry = _WATER.sub("", formula)
    if dry == formula:
        return None
    work.iron_fraction[group] *= molar_mass(formula) / molar_mass(dry)
    return Slip("worked_hydrate_ignored", "water_of_hydration_left_out")


def _standards_skipped(rng: Generator, work: Workings, group: int) -> Slip | None:
    dilutions = work.plan.standards.dilutions
    if not dilutions:
        return None
    step = int(rng.integers(0, len(dilutions)))
    work.standard_factor[group] /= dilutions[step]
    return Slip("worked_dilution_skipped", f"standards_dilution_{step + 1}")


def _unknown_skipped(rng: Generator, work: Workings, group: int) -> Slip:
    dilutions = _unknown_dilutions(work)
    # One past the last stands for all of them together.
    choice = int(rng.integers(0, len(dilutions) + (len(dilutions) > 1)))
    if choice == len(dilutions):
        work.unknown_factor[group] *= float(np.prod(dilutions))
        return Slip("worked_dilution_skipped", "unknown_every_dilution")
    work.unknown_factor[group] *= dilutions[choice]
    return Slip("worked_dilution_skipped", f"unknown_dilution_{choice + 1}")


def _dilution_inverted(rng: Generator, work: Workings, group: int) -> Slip:
    side, step, ratio = _any_dilution(rng, work)
    if side == "standards":
        work.standard_factor[group] /= ratio**2
    else:
        work.unknown_factor[group] *= ratio**2
    return Slip("worked_dilution_inverted", f"{side}_dilution_{step}")


def _dilution_twice(rng: Generator, work: Workings, group: int) -> Slip:
    side, step, ratio = _any_dilution(rng, work)
    if side == "standards":
        work.standard_factor[group] *= ratio
    else:
        work.unknown_factor[group] /= ratio
    return Slip("worked_dilution_twice", f"{side}_dilution_{step}")


def _percent_fraction(rng: Generator, work: Workings, group: int) -> Slip:
    # Left as a fraction nine times in ten; otherwise made a percentage twice.
    factor = 0.01 if rng.random() < 0.9 else 100.0
    work.final_factor[group] *= factor
    return Slip("worked_percent_fraction", f"times_{factor:g}", size=factor - 1)


def _forced_origin(_rng: Generator, work: Workings, group: int) -> Slip:
    work.through_origin[group] = True
    return Slip("worked_forced_origin", "line_through_zero")


def _intercept_dropped(rng: Generator, work: Workings, group: int) -> Slip:
    added = bool(rng.random() < 0.3)
    work.intercept_sign[group] = -1.0 if added else 0.0
    detail = "intercept_added" if added else "intercept_left_out"
    return Slip("worked_intercept_dropped", detail)


def _nominal_mass(rng: Generator, work: Workings, group: int) -> Slip:
    if rng.random() < 0.5:
        work.standard_mass_g[group] = work.plan.standards.mass_g
        return Slip("worked_nominal_mass", "standard_mass")
    work.unknown_mass_g[group] = work.plan.unknown.mass_g
    return Slip("worked_nominal_mass", "unknown_mass")


def _moles_as_grams(_rng: Generator, work: Workings, group: int) -> Slip:
    factor = 1 / molar_mass(work.plan.scheme.analyte)
    work.final_factor[group] *= factor
    return Slip("worked_unit_slip", "moles_as_grams", size=factor - 1)


def _natural_log(rng: Generator, work: Workings, group: int) -> Slip:
    work.unknown_signal[group] *= np.log(10)
    if rng.random() < 0.5:
        return Slip("worked_natural_log", "unknown_only")
    work.standard_signal[group] *= np.log(10)
    return Slip("worked_natural_log", "everywhere")


def _decimal_point(rng: Generator, work: Workings, group: int) -> Slip:
    factor = float(rng.choice([0.001, 0.1, 10.0, 1000.0]))
    work.final_factor[group] *= factor
    return Slip("worked_unit_slip", f"times_{factor:g}", size=factor - 1)


def _percent_plotted(_rng: Generator, work: Workings, group: int) -> Slip:
    for signal in (work.standard_signal, work.unknown_signal):
        signal[group] = 100 * np.power(10.0, -signal[group])
    return Slip("worked_percent_plotted", "percent_T_against_concentration")


def _axes_swapped(rng: Generator, work: Workings, group: int) -> Slip:
    plotted = bool(rng.random() < 0.5)
    work.exchange[group] = Exchange.PLOTTED if plotted else Exchange.SOLVED
    detail = "concentration_against_absorbance" if plotted else "line_solved_backwards"
    return Slip("worked_axes_swapped", detail)


def _rounded_early(_rng: Generator, work: Workings, group: int) -> Slip:
    work.decimals[group] = 2
    return Slip("worked_rounded_early", "absorbance_to_two_decimals")


def _unexplained(rng: Generator, work: Workings, group: int) -> Slip:
    factor = float(np.exp(rng.choice([-1.0, 1.0]) * rng.uniform(0.1, 1.0)))
    work.final_factor[group] *= factor
    return Slip("worked_unexplained", "no_known_cause", size=factor - 1)


def _unknown_dilutions(work: Workings) -> tuple[float, ...]:
    """Every ratio between the unknown's first flask and what is read."""
    unknown = work.plan.unknown
    last = float(unknown.tube_take_mL[0] / unknown.tube_flask_mL[0])
    return (*unknown.dilutions, last)


def _any_dilution(rng: Generator, work: Workings) -> tuple[str, int, float]:
    steps = [
        ("standards", step, ratio)
        for step, ratio in enumerate(work.plan.standards.dilutions, start=1)
    ] + [
        ("unknown", step, ratio)
        for step, ratio in enumerate(_unknown_dilutions(work), start=1)
    ]
    return steps[int(rng.integers(0, len(steps)))]


#: Arithmetic slips, in the order they are drawn.
WORKED_SLIPS: Mapping[str, WorkedSlip] = {
    "salt_as_iron": _salt_as_iron,
    "hydrate_ignored": _hydrate_ignored,
    "standards_dilution_skipped": _standards_skipped,
    "unknown_dilution_skipped": _unknown_skipped,
    "dilution_inverted": _dilution_inverted,
    "dilution_twice": _dilution_twice,
    "percent_fraction": _percent_fraction,
    "forced_origin": _forced_origin,
    "intercept_dropped": _intercept_dropped,
    "nominal_mass": _nominal_mass,
    "moles_as_grams": _moles_as_grams,
    "natural_log": _natural_log,
    "decimal_point": _decimal_point,
    # The signal must have become absorbance by then.
    "percent_plotted": _percent_plotted,
    "axes_swapped": _axes_swapped,
    "rounded_early": _rounded_early,
    "unexplained": _unexplained,
}
