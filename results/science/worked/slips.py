"""Every slip of arithmetic that is looked for, as data."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from results.science.dilution import Scheme
from results.science.formula import FormulaError, molar_mass
from results.science.worked.water import dried

FRACTION_LN_10 = float(np.log(10.0))
IRON_MOLAR_MASS_G = 55.845
#: Mass of iron(III) oxide for each mass of iron in it.
OXIDE = 159.687 / (2 * IRON_MOLAR_MASS_G)
OTHER_SALTS = {
    "alum": "NH4Fe(SO4)2(H2O)12",
    "sulfate_heptahydrate": "FeSO4(H2O)7",
    "ammonium_sulfate": "Fe(NH4)2(SO4)2(H2O)6",
}
#: Flasks and pipettes taken for one another in the working.
WRONG_VOLUME = (0.4, 0.5, 2.0, 2.5)


class Stage(StrEnum):
    """Where in the working a slip sits."""

    LINE = "line"
    UNKNOWN = "unknown"
    FLASK = "flask"
    SOLID = "solid"


@dataclass(frozen=True, slots=True)
class WorkedSlip:
    """One way to go wrong on paper.

    ``factor`` multiplies the standards' concentrations (stage line) or the way back
    (stages flask and solid); NaN where the slip is no factor.  ``usual`` is its prior
    weight among all slips; an assumption.
    """

    name: str
    code: str
    stage: Stage
    usual: float
    factor: float = np.nan


def line_slips(scheme: Scheme) -> list[WorkedSlip]:
    """List the slips before the line is drawn, and in drawing it."""
    return [
        WorkedSlip("right", "", Stage.LINE, 0.0, 1.0),
        *_salt(scheme),
        *_dilutions(scheme, standards=True),
        *_factors(Stage.LINE),
        WorkedSlip("forced_origin", "worked_forced_origin", Stage.LINE, 3),
        WorkedSlip("natural_log", "worked_natural_log", Stage.LINE, 1),
        WorkedSlip("percent_plotted", "worked_percent_plotted", Stage.LINE, 1),
        WorkedSlip("log_percent_plotted", "worked_percent_plotted", Stage.LINE, 0.5),
        WorkedSlip("fraction_in_formula", "worked_percent_plotted", Stage.LINE, 0.3),
        WorkedSlip("axes_exchanged", "worked_axes_swapped", Stage.LINE, 1),
        WorkedSlip("two_decimals", "worked_rounded_early", Stage.LINE, 1),
    ]


def unknown_slips() -> list[WorkedSlip]:
    """List the slips in reading the unknown off the line."""
    return [
        WorkedSlip("right", "", Stage.UNKNOWN, 0.0),
        WorkedSlip("intercept_left_out", "worked_intercept_dropped", Stage.UNKNOWN, 3),
        WorkedSlip("intercept_added", "worked_intercept_dropped", Stage.UNKNOWN, 1),
        WorkedSlip("solved_backwards", "worked_axes_swapped", Stage.UNKNOWN, 1),
        WorkedSlip("natural_log_unknown", "worked_natural_log", Stage.UNKNOWN, 1),
        WorkedSlip("percent_for_unknown", "worked_percent_plotted", Stage.UNKNOWN, 0.5),
        WorkedSlip("log_percent_unknown", "worked_percent_plotted", Stage.UNKNOWN, 0.5),
        WorkedSlip("fraction_unknown", "worked_percent_plotted", Stage.UNKNOWN, 0.3),
        WorkedSlip("percent_averaged", "worked_percent_plotted", Stage.UNKNOWN, 0.5),
    ]


def way_back_slips(scheme: Scheme) -> list[WorkedSlip]:
    """List the slips on the way from the tube back to the powder."""
    salt = scheme.analyte_fraction
    return [
        WorkedSlip("right", "", Stage.FLASK, 0.0, 1.0),
        *_dilutions(scheme, standards=False),
        *_factors(Stage.FLASK),
        WorkedSlip("nominal_unknown_mass", "worked_nominal_mass", Stage.SOLID, 2),
        WorkedSlip("salt_mass_for_unknown", "worked_nominal_mass", Stage.SOLID, 0.5),
        _solid("left_as_fraction", "worked_percent_fraction", 3, 0.01),
        _solid("percent_twice", "worked_percent_fraction", 0.5, 100.0),
        _solid("thousand_too_many", "worked_unit_slip", 0.7, 1e3),
        _solid("thousand_too_few", "worked_unit_slip", 0.7, 1e-3),
        _solid("ten_too_many", "worked_unit_slip", 0.7, 10.0),
        _solid("ten_too_few", "worked_unit_slip", 0.7, 0.1),
        _solid("moles_as_grams", "worked_unit_slip", 1, 1 / IRON_MOLAR_MASS_G),
        _solid("grams_as_moles", "worked_unit_slip", 0.3, IRON_MOLAR_MASS_G),
        _solid("reported_as_salt", "worked_salt_as_iron", 0.5, 1 / salt),
        _solid("reported_as_oxide", "worked_salt_as_iron", 0.3, OXIDE),
    ]


def _solid(name: str, code: str, usual: float, factor: float) -> WorkedSlip:
    return WorkedSlip(name, code, Stage.SOLID, usual, factor)


def _salt(scheme: Scheme) -> Iterator[WorkedSlip]:
    line = Stage.LINE
    fraction = scheme.analyte_fraction
    yield WorkedSlip("salt_as_iron", "worked_salt_as_iron", line, 3, 1 / fraction)
    yield WorkedSlip("nominal_salt_mass", "worked_nominal_mass", line, 2)
    try:
        molar = molar_mass(scheme.formula)
    except FormulaError:
        return
    dry = dried(scheme.formula)
    if dry:
        ratio = molar / molar_mass(dry)
        yield WorkedSlip("water_left_out", "worked_hydrate_ignored", line, 2, ratio)
    for name, formula in OTHER_SALTS.items():
        ratio = molar / molar_mass(formula)
        if abs(ratio - 1.0) > 1e-6:
            code = "worked_hydrate_ignored"
            yield WorkedSlip(f"salt_taken_for_{name}", code, line, 0.3, ratio)


def _factors(stage: Stage) -> Iterator[WorkedSlip]:
    yield WorkedSlip("thousand_too_many", "worked_unit_slip", stage, 0.5, 1e3)
    yield WorkedSlip("thousand_too_few", "worked_unit_slip", stage, 0.5, 1e-3)
    yield WorkedSlip("ten_too_many", "worked_unit_slip", stage, 0.3, 10.0)
    yield WorkedSlip("ten_too_few", "worked_unit_slip", stage, 0.3, 0.1)
    if stage is Stage.LINE:
        mole = 1 / IRON_MOLAR_MASS_G
        yield WorkedSlip("moles_as_grams", "worked_unit_slip", stage, 0.5, mole)
    for factor in WRONG_VOLUME:
        name = f"wrong_volume_{factor:g}"
        yield WorkedSlip(name, "worked_wrong_volume", stage, 0.3, factor)


def _dilutions(scheme: Scheme, *, standards: bool) -> Iterator[WorkedSlip]:
    """Yield each dilution left out, taken twice or upside down, as factors."""
    chain = scheme.standard_steps if standards else scheme.unknown_steps
    stage = Stage.LINE if standards else Stage.FLASK
    ratios, taken = [], np.nan
    for step in chain:
        if step.is_take:
            taken = step.take_mL
        elif not np.isnan(taken):
            ratios.append(taken / step.make_up_mL)
    if not standards and scheme.unknowns and scheme.unknowns[0].take_mL > 0.0:
        tube = scheme.unknowns[0]
        ratios.append(tube.take_mL / tube.make_up_mL)
    for place, ratio in enumerate(ratios, start=1):
        # Left out, a dilution makes standards stronger and the way back shorter.
        out = 1 / ratio if standards else ratio
        for kind, factor, usual in (
            ("skipped", out, 3.0),
            ("twice", 1 / out, 1.0),
            ("inverted", out * out, 1.0),
        ):
            name = f"dilution_{place}_{kind}"
            yield WorkedSlip(name, f"worked_dilution_{kind}", stage, usual, factor)
    if not standards and len(ratios) > 1:
        every = float(np.prod(ratios))
        code = "worked_dilution_skipped"
        yield WorkedSlip("every_dilution_skipped", code, stage, 2.0, every)
