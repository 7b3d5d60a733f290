"""One answer worked out step by step, from the masses to its interval."""

import math
from dataclasses import dataclass

import numpy as np

from results.science.answer import Readings, Reason, compute_answers
from results.science.budget import shared_variance
from results.science.class_scale import ClassScale
from results.science.formula import ATOMIC_WEIGHTS, atom_counts, molar_mass
from results.science.ledger import CalculationStep, Ledger, add_up, put
from results.science.noise import Meter
from results.science.readings import meter_of
from results.science.scheme import Scheme, Step, Tube
from results.science.steps_interval import Measured, interval
from results.science.steps_line import Point, provisional_line, weighted_line

__all__ = ["CalculationStep", "calculation_steps"]


def calculation_steps(
    scheme: Scheme,
    readings: Readings,
    *,
    row: int = 0,
    class_scale: ClassScale | None = None,
) -> tuple[CalculationStep, ...]:
    """Work one answer out the long way, by plain arithmetic.

    Nothing is taken from `compute_answers` but whether there is an answer: the steps
    are a second way to the same numbers.

    Parameters
    ----------
    scheme, readings
        As for `compute_answers`.
    row : int
        The submission.
    class_scale : ClassScale, optional
        As it was given to `compute_answers`.

    Returns
    -------
    tuple of CalculationStep
        Empty where there is no answer.  The last two are the ends of the interval.
    """
    one = readings.rows(np.array([row]))
    answer = compute_answers(scheme, one, class_scale=class_scale)
    if answer.reason[0] != Reason.COMPUTED:
        return ()
    ledger = Ledger()
    worker = _Worker(scheme, one, ledger)
    standards, unknowns = worker.standards(), worker.unknowns()
    provisional = provisional_line(ledger, standards)
    line = weighted_line(ledger, standards, provisional, class_scale)
    interval(ledger, line, worker.measured(unknowns))
    return tuple(ledger.steps)


@dataclass(slots=True)
class _Worker:
    """Works out what goes into the line and what is read off it."""

    scheme: Scheme
    one: Readings
    ledger: Ledger

    def standards(self) -> list[Point]:
        """Work out the standards' concentrations and absorbances."""
        ledger, scheme = self.ledger, self.scheme
        ledger.part = "Standards"
        mg_L = self._stock()
        points = []
        columns = zip(
            scheme.standards,
            self.one.standard_taken_mL[0].tolist(),
            self.one.standard_signal[0],
            strict=True,
        )
        if scheme.use_blank:
            points.append(self._blank())
        for tube, taken_mL, signal in columns:
            readings = self._usable(signal)
            if readings and math.isfinite(taken_mL) and taken_mL >= 0.0:
                points.append(self._standard(tube, (mg_L, taken_mL), readings))
        return points

    def unknowns(self) -> list[Point]:
        """Work out the unknown tubes' absorbances and volumes."""
        ledger, scheme = self.ledger, self.scheme
        ledger.part = "Unknown"
        points = []
        columns = zip(
            scheme.unknowns,
            self.one.unknown_taken_mL[0].tolist(),
            self.one.unknown_signal[0],
            strict=True,
        )
        for tube, taken_mL, signal in columns:
            readings = self._usable(signal)
            if readings and math.isfinite(taken_mL) and taken_mL > 0.0:
                label = tube.label
                absorbance = self._absorbance(label, readings)
                share = ledger.write(
                    f"Share of the solution in tube {label}",
                    "f = V taken / V flask",
                    f"{put(taken_mL)} / {put(tube.make_up_mL)}",
                    (taken_mL / tube.make_up_mL, ""),
                )
                points.append(
                    self._point(tube, taken_mL, (share, absorbance), readings)
                )
        return points

    def measured(self, points: list[Point]) -> Measured:
        """Bring together what the answer is computed from beside the line."""
        shared = shared_variance(self.scheme)
        return Measured(
            points=points,
            unknown_mass_g=float(self.one.unknown_mass_g[0]),
            standard_mass_g=float(self.one.standard_mass_g[0]),
            steps=self.scheme.unknown_steps,
            shared=shared,
        )

    def _stock(self) -> float:
        ledger, scheme = self.ledger, self.scheme
        mass_g = float(self.one.standard_mass_g[0])
        count = atom_counts(scheme.formula)[scheme.analyte]
        weight, molar = ATOMIC_WEIGHTS[scheme.analyte], molar_mass(scheme.formula)
        fraction = ledger.write(
            f"Mass fraction of {scheme.analyte} in {scheme.formula}",
            "fraction = number of atoms × atomic weight / molar mass",
            f"{count} × {put(weight)} / {put(molar)}",
            (count * weight / molar, "g/g"),
            "abridged standard atomic weights, CIAAW 2021",
        )
        mg = ledger.write(
            f"{scheme.analyte} weighed in",
            "mg = 1000 × m × fraction × purity",
            f"1000 × {put(mass_g)} × {put(fraction)} × {put(scheme.purity)}",
            (1000 * mass_g * fraction * scheme.purity, "mg"),
        )
        return self._follow(mg, scheme.standard_steps)

    def _follow(self, mg: float, steps: tuple[Step, ...]) -> float:
        """Follow a chain to its last flask, mg/L."""
        mg_L = math.nan
        for step in steps:
            if step.is_take:
                mg = self.ledger.write(
                    "Taken into the next flask",
                    "mg = c × V / 1000",
                    f"{put(mg_L)} × {put(step.take_mL)} / 1000",
                    (mg_L * step.take_mL / 1000, "mg"),
                )
            else:
                mg_L = self.ledger.write(
                    f"Concentration in the {step.make_up_mL:g} mL flask",
                    "c = 1000 × mg / V",
                    f"1000 × {put(mg)} / {put(step.make_up_mL)}",
                    (1000 * mg / step.make_up_mL, "mg/L"),
                )
        return mg_L

    def _standard(
        self, tube: Tube, made_of: tuple[float, float], readings: list[float]
    ) -> Point:
        mg_L, taken_mL = made_of
        content = self.ledger.write(
            f"Concentration of standard {tube.label}",
            "x = c × V taken / V flask",
            f"{put(mg_L)} × {put(taken_mL)} / {put(tube.make_up_mL)}",
            (mg_L * taken_mL / tube.make_up_mL, "mg/L"),
        )
        absorbance = self._absorbance(tube.label, readings)
        return self._point(tube, taken_mL, (content, absorbance), readings)

    def _blank(self) -> Point:
        readings = self._usable(self.one.blank_signal[0])
        absorbance = self._absorbance("blank", readings) if readings else 0.0
        return Point(
            "blank", 0.0, absorbance, max(len(readings), 1), 0.0, self._meter()
        )

    def _point(
        self,
        tube: Tube,
        taken_mL: float,
        place: tuple[float, float],
        readings: list[float],
    ) -> Point:
        content, absorbance = place
        fill = self._fill(tube, taken_mL) if taken_mL > 0.0 else 0.0
        return Point(
            tube.label, content, absorbance, len(readings), fill, self._meter()
        )

    def _fill(self, tube: Tube, taken_mL: float) -> float:
        tolerances, ledger = self.scheme.tolerances, self.ledger
        fixed = tolerances.fixed_sd_mL(tube.delivery, tube.take_mL)
        grows = tolerances.proportional_sd(tube.delivery, tube.take_mL)
        u_flask = tolerances.standard_uncertainty_mL("flask", tube.make_up_mL)
        return ledger.write(
            f"Relative variance of filling tube {tube.label}",
            "r = (u fixed / V taken)^2 + (u proportional)^2 + (u flask / V flask)^2",
            f"({put(fixed)} / {put(taken_mL)})^2 + {put(grows)}^2"
            f" + ({put(u_flask)} / {put(tube.make_up_mL)})^2",
            (
                (fixed / taken_mL) ** 2 + grows**2 + (u_flask / tube.make_up_mL) ** 2,
                "",
            ),
            "limits and handling as listed under the tolerances in force",
        )

    def _absorbance(self, label: str, readings: list[float]) -> float:
        in_A = bool(self.one.is_absorbance[0])
        each = [put(r) if in_A else f"2 - log10({put(r)})" for r in readings]
        values = [r if in_A else 2.0 - math.log10(r) for r in readings]
        mean = sum(values) / len(values)
        single = len(each) == 1
        numbers = each[0] if single else f"({add_up(each)}) / {len(each)}"
        formula = "A as read" if in_A else "A = 2 - log10(%T)"
        return self.ledger.write(
            f"Absorbance of {label}",
            formula if single else f"{formula}, mean of the readings",
            numbers,
            (mean, ""),
        )

    def _usable(self, signal: np.ndarray) -> list[float]:
        in_A = bool(self.one.is_absorbance[0])
        return [
            float(value)
            for value in signal
            if math.isfinite(value) and (in_A or value > 0.0)
        ]

    def _meter(self) -> Meter:
        return meter_of(self.scheme.reading, self.one)
