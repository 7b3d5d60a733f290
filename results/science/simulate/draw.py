"""Draws whole classes at once: masses, volumes and meter values as arrays."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from results.science.answer import Readings
from results.science.simulate.chain import draw_masses, draw_side
from results.science.simulate.layout import Layout, random_layout
from results.science.simulate.meters import Sitting, show, true_absorbances
from results.science.simulate.plan import Plan, read_plan
from results.science.simulate.protocol import invented_scheme
from results.science.simulate.records import Slip
from results.science.simulate.slips import BENCH_SLIPS, Bench, apply_each
from results.science.simulate.typing_slips import COPYING, TYPING_SLIPS, Notebook

Array = NDArray[np.float64]

#: Chance of each slip in a group. These are assumptions, not counts.
SLIP_RATES: Mapping[str, float] = {
    "salt_loss": 0.03,
    "flask_misfilled": 0.04,
    "unknown_loss": 0.03,
    "wrong_pipette": 0.02,
    "one_bad_standard": 0.08,
    "tubes_swapped": 0.015,
    "reagent_missed_once": 0.012,
    "reagent_missed_throughout": 0.003,
    "reading_mistyped": 0.04,
    "mass_mistyped": 0.015,
    "other_lot": 0.008,
    "not_rezeroed": 0.06,
    "wavelength_left": 0.01,
    "water_as_blank": 0.01,
    "copied_set": 0.005,
    "missing_field": 0.03,
    "late": 0.06,
}
_REAGENT_SD, _SKILL_MEDIAN, _SKILL_LOG_SD = 0.003, 1.6, 0.5


@dataclass(frozen=True, slots=True)
class ClassDraw:
    """N invented groups as arrays; ``notebook`` is what was meant, ``typed`` what came.

    ``skill``, the iron contents (% by mass), ``is_late`` and ``misses_field`` have
    shape (N,). The true content is that of the vial issued, the measured one that of
    the powder really used.
    """

    plan: Plan
    layout: Layout
    skill: Array
    notebook: Notebook
    typed: Notebook
    true_iron_percent: Array
    measured_iron_percent: Array
    is_late: NDArray[np.bool_]
    misses_field: NDArray[np.bool_]
    slips: tuple[tuple[Slip, ...], ...]

    @property
    def assigned_iron_percent(self) -> Array:
        """Assigned value of each group's lot, % by mass; shape (N,)."""
        return self.layout.lots.assigned_percent[self.layout.lot]

    @property
    def standard_values(self) -> Array:
        """Typed values of the standards on the station's own scale; (N, n)."""
        return self.typed.values[:, : len(self.plan.standards.tubes)]

    @property
    def unknown_values(self) -> Array:
        """Typed values of the unknown tubes on the station's own scale; (N, m)."""
        return self.typed.values[:, len(self.plan.standards.tubes) :]

    @property
    def standard_percent_T(self) -> Array:
        """Percent transmittance of the standards, as typed or converted; (N, n)."""
        return self._percent_T(self.standard_values)

    @property
    def unknown_percent_T(self) -> Array:
        """Percent transmittance of the unknown tubes; (N, m)."""
        return self._percent_T(self.unknown_values)

    @property
    def readings(self) -> Readings:
        """What came in, as the computation of answers takes it; one replicate each."""
        return Readings(
            standard_mass_g=self.typed.standard_mass_g,
            unknown_mass_g=self.typed.unknown_mass_g,
            standard_taken_mL=self.typed.standard_taken_mL,
            unknown_taken_mL=self.typed.unknown_taken_mL,
            standard_signal=self.standard_values[:, :, np.newaxis],
            unknown_signal=self.unknown_values[:, :, np.newaxis],
            is_absorbance=self.typed.reads_absorbance,
        )

    def _percent_T(self, values: Array) -> Array:
        column = self.typed.reads_absorbance[:, np.newaxis]
        # Values on the other scale must not overflow on their way through the power.
        converted = 100 * np.power(10.0, -np.where(column, values, 0.0))
        return np.where(column, converted, values)


def draw_groups(
    rng: Generator,
    n_groups: int,
    *,
    scheme: Mapping[str, Any] | None = None,
    layout: Layout | None = None,
    slip_rate_factor: float = 1.0,
    slip_rates: Mapping[str, float] | None = None,
) -> ClassDraw:
    """Draw what groups wrote down and typed, with the truth beside it.

    Parameters
    ----------
    rng : Generator
        Slips are drawn from a child of it, so that the same generator gives the same
        class with and without slips.
    n_groups : int
        Number of groups, N.
    scheme : mapping, optional
        A scheme document; the invented course's own if missing.
    layout : Layout, optional
        Stations, lots and sections of the N groups; scattered at random if missing.
    slip_rate_factor : float
        Multiplies every rate: 0 is a class without slips, 2 a stress test.
    slip_rates : mapping, optional
        Chance of each slip in place of ``SLIP_RATES``; those missing never happen.

    Raises
    ------
    ValueError
        If the layout is not for N groups, or a slip rate's name is unknown.

    Examples
    --------
    >>> drawn = draw_groups(np.random.default_rng(1), 3, slip_rate_factor=0)
    >>> drawn.standard_percent_T.shape, drawn.unknown_percent_T.shape
    ((3, 5), (3, 3))
    """
    rates = _scaled(slip_rates, slip_rate_factor)
    chain_rng, meter_rng, slip_rng = rng.spawn(3)
    plan = read_plan(invented_scheme() if scheme is None else scheme)
    where = random_layout(chain_rng, n_groups) if layout is None else layout
    if len(where) != n_groups:
        message = f"The layout is for {len(where)} groups, not {n_groups}; mend either."
        raise ValueError(message)
    skill = _SKILL_MEDIAN * np.exp(_SKILL_LOG_SD * chain_rng.standard_normal(n_groups))
    bench = _set_up(chain_rng, plan, where, skill)
    slips = apply_each(slip_rng, bench, rates, BENCH_SLIPS)
    vial = chain_rng.standard_normal(n_groups)
    notebook = _read(chain_rng, meter_rng, bench, (skill, vial))
    _gather(slips, apply_each(slip_rng, notebook, rates, COPYING))
    typed = notebook.copy()
    _gather(slips, apply_each(slip_rng, typed, rates, TYPING_SLIPS))
    return ClassDraw(
        plan=plan,
        layout=where,
        skill=skill,
        notebook=notebook,
        typed=typed,
        true_iron_percent=_content(where, where.lot, vial),
        measured_iron_percent=_content(where, bench.powder, vial),
        is_late=slip_rng.random(n_groups) < rates.get("late", 0.0),
        misses_field=slip_rng.random(n_groups) < rates.get("missing_field", 0.0),
        slips=tuple(tuple(happened) for happened in slips),
    )


def _scaled(rates: Mapping[str, float] | None, factor: float) -> dict[str, float]:
    chosen = SLIP_RATES if rates is None else rates
    unknown = sorted(set(chosen) - set(SLIP_RATES))
    if unknown:
        message = (
            f"No slip is called {', '.join(unknown)}; use {', '.join(SLIP_RATES)}."
        )
        raise ValueError(message)
    return {name: min(1.0, factor * rate) for name, rate in chosen.items()}


def _set_up(rng: Generator, plan: Plan, layout: Layout, skill: Array) -> Bench:
    n_groups = len(skill)
    n, m = len(plan.standards.tubes), len(plan.unknown.tubes)
    order = np.linspace(0.0, 1.0, n + m)
    # The meter is zeroed again before the unknown.
    order[n:] -= order[n]
    n_sections = int(layout.section.max(initial=-1)) + 1
    reagents = 1 + _REAGENT_SD * rng.standard_normal(n_sections)
    sitting = Sitting(
        station=layout.station,
        wavelength_nm=np.full(n_groups, plan.scheme.wavelength_nm),
        order=np.tile(order, (n_groups, 1)),
        drift_factor=np.ones(n_groups),
        blank_absorbance=np.zeros(n_groups),
        reagent_factor=reagents[layout.section],
    )
    return Bench(
        plan=plan,
        layout=layout,
        standards=draw_side(rng, plan.standards, skill),
        unknown=draw_side(rng, plan.unknown, skill),
        sitting=sitting,
        powder=layout.lot.copy(),
        plateau_mg_L=np.full(n_groups, np.inf),
    )


def _content(layout: Layout, lot: NDArray[np.intp], vial: Array) -> Array:
    lots = layout.lots
    return np.asarray(lots.true_percent[lot] * (1 + lots.vial_sd[lot] * vial))


def _read(
    chain_rng: Generator,
    meter_rng: Generator,
    bench: Bench,
    skill_and_vial: tuple[Array, Array],
) -> Notebook:
    skill, vial = skill_and_vial
    plan, scheme = bench.plan, bench.plan.scheme
    salt_g, salt_written_g = draw_masses(chain_rng, plan.standards.mass_g, skill)
    powder_g, powder_written_g = draw_masses(chain_rng, plan.unknown.mass_g, skill)
    purity = np.minimum(
        1.0, scheme.purity + scheme.purity_u * chain_rng.standard_normal(len(skill))
    )
    iron_mg = salt_g * 1000 * purity * scheme.analyte_fraction
    content = _content(bench.layout, bench.powder, vial) / 100
    coloured = np.hstack(
        [
            bench.standards.concentrations(iron_mg),
            bench.unknown.concentrations(powder_g * 1000 * content),
        ]
    )
    coloured = np.minimum(coloured, bench.plateau_mg_L[:, np.newaxis])
    stations = bench.layout.stations
    absorbance = true_absorbances(stations, bench.sitting, coloured, scheme.path_cm)
    return Notebook(
        plan=plan,
        layout=bench.layout,
        station=bench.sitting.station.copy(),
        standard_mass_g=salt_written_g,
        unknown_mass_g=powder_written_g,
        standard_taken_mL=bench.standards.aimed_mL,
        unknown_taken_mL=bench.unknown.aimed_mL,
        values=show(meter_rng, stations, bench.sitting, absorbance, skill),
    )


def _gather(slips: list[list[Slip]], more: list[list[Slip]]) -> None:
    for mine, also in zip(slips, more, strict=True):
        mine.extend(also)
