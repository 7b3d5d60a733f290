"""What goes wrong on the bench and at the meter, one function a slip.

How often is an assumption throughout: no counted frequencies were found, and a
course should put its own counts in their place.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from results.science.simulate.chain import Side
from results.science.simulate.layout import Layout
from results.science.simulate.meters import Sitting
from results.science.simulate.plan import Plan
from results.science.simulate.records import Slip

# A section's last user may have left the dial at any of these.
_OTHER_USERS_NM = (440, 450, 470, 480, 490, 530, 540, 550, 560, 580, 600)
_WRONG_PIPETTE_RATIOS = (0.5, 0.8, 1.25, 2.0)


@dataclass(slots=True)
class Bench:
    """The work of N groups before it is read; slips change it in place.

    ``powder`` is the lot each group really used; ``plateau_mg_L`` is the iron that
    the ligand can colour.
    """

    plan: Plan
    layout: Layout
    standards: Side
    unknown: Side
    sitting: Sitting
    powder: NDArray[np.intp]
    plateau_mg_L: NDArray[np.float64]

    @property
    def n_standards(self) -> int:
        """Number of standards."""
        return len(self.plan.standards.tubes)

    def tube(self, index: int) -> tuple[Side, int, str]:
        """Side, place and label of a tube, counting the unknown's after standards."""
        if index < self.n_standards:
            return self.standards, index, self.plan.standards.tubes[index]
        place = index - self.n_standards
        return self.unknown, place, self.plan.unknown.tubes[place]

    @property
    def n_tubes(self) -> int:
        """Number of standards and unknown tubes."""
        return self.n_standards + len(self.plan.unknown.tubes)


BenchSlip = Callable[[Generator, Bench, int], Slip | None]


def apply_each(
    rng: Generator,
    work: Any,
    rates: Mapping[str, float],
    catalogue: Mapping[str, Callable[[Generator, Any, int], Slip | None]],
) -> list[list[Slip]]:
    """Let slips happen, each on its own, and say to whom.

    Parameters
    ----------
    rng : Generator
    work : Bench, Notebook or Workings
        The work of N groups; changed in place.
    rates : mapping
        Chance of each slip in a group; a slip that is missing never happens.
    catalogue : mapping
        The functions that make each slip; one answers None where it cannot happen.

    Returns
    -------
    list of N lists of Slip
    """
    n_groups = len(work.layout)
    happened: list[list[Slip]] = [[] for _ in range(n_groups)]
    for name, apply in catalogue.items():
        befallen = rng.random(n_groups) < rates.get(name, 0.0)
        for group in np.flatnonzero(befallen):
            slip = apply(rng, work, int(group))
            if slip is not None:
                happened[group].append(slip)
    return happened


def _signed(rng: Generator, low: float, high: float) -> float:
    return float(rng.choice([-1.0, 1.0]) * rng.uniform(low, high))


def _salt_lost(rng: Generator, bench: Bench, group: int) -> Slip:
    loss = float(rng.uniform(0.01, 0.08))
    bench.standards.share[group] *= 1 - loss
    return Slip("standards_side", "salt_lost", size=-loss)


def _unknown_lost(rng: Generator, bench: Bench, group: int) -> Slip:
    loss = float(rng.uniform(0.01, 0.10))
    bench.unknown.share[group] *= 1 - loss
    return Slip("unknown_side", "unknown_lost_or_undissolved", size=-loss)


def _flask_misfilled(rng: Generator, bench: Bench, group: int) -> Slip:
    size = _signed(rng, 0.005, 0.03)
    stocks = [
        (bench.standards, "standards_side", flask)
        for flask in range(bench.standards.flask_mL.shape[1])
    ] + [
        (bench.unknown, "unknown_side", flask)
        for flask in range(bench.unknown.flask_mL.shape[1])
    ]
    choice = int(rng.integers(0, len(stocks) + bench.n_tubes))
    if choice < len(stocks):
        side, code, flask = stocks[choice]
        side.flask_mL[group, flask] *= 1 + size
        return Slip(code, "flask_misfilled", size=size)
    index = choice - len(stocks)
    side, place, label = bench.tube(index)
    side.tube_flask_mL[group, place] *= 1 + size
    return Slip(_one_tube_code(bench, index), "flask_misfilled", label, size)


def _wrong_pipette(rng: Generator, bench: Bench, group: int) -> Slip | None:
    steps = [
        (side, code, step)
        for side, code in (
            (bench.standards, "standards_side"),
            (bench.unknown, "unknown_side"),
        )
        for step in range(side.take_mL.shape[1])
    ]
    if not steps:
        return None
    side, code, step = steps[int(rng.integers(0, len(steps)))]
    ratio = float(rng.choice(_WRONG_PIPETTE_RATIOS))
    side.take_mL[group, step] *= ratio
    return Slip(code, "wrong_pipette", size=ratio - 1)


def _one_bad_standard(rng: Generator, bench: Bench, group: int) -> Slip:
    place = int(rng.integers(0, bench.n_standards))
    size = _signed(rng, 0.05, 0.25)
    bench.standards.tube_take_mL[group, place] *= 1 + size
    label = bench.plan.standards.tubes[place]
    return Slip("tube_off", "volume_taken_wrong", label, size)


def _swapped(rng: Generator, bench: Bench, group: int) -> Slip | None:
    if bench.n_standards < 2:
        return None
    first = int(rng.integers(0, bench.n_standards - 1))
    second = first + 1
    if rng.random() < 0.25 and bench.n_standards > 2:
        first, second = sorted(
            rng.permutation(bench.n_standards)[:2].astype(int).tolist()
        )
    side = bench.standards
    for contents in (side.tube_take_mL, side.tube_flask_mL, side.colour):
        contents[group, [first, second]] = contents[group, [second, first]]
    labels = bench.plan.standards.tubes
    return Slip(
        "tubes_swapped", "standards_swapped", f"{labels[first]},{labels[second]}"
    )


def _reagent_missed_once(rng: Generator, bench: Bench, group: int) -> Slip:
    index = int(rng.integers(0, bench.n_tubes))
    side, place, label = bench.tube(index)
    reagent = int(rng.integers(0, 3))
    if reagent == 0:
        side.colour[group, place] = 0.0
        return Slip("tube_uncoloured", "ligand_left_out", label, -1.0)
    loss, detail = _partial_colour(rng, reagent)
    side.colour[group, place] *= 1 - loss
    return Slip(_one_tube_code(bench, index), detail, label, -loss)


def _reagent_missed_throughout(rng: Generator, bench: Bench, group: int) -> Slip:
    reagent = int(rng.integers(0, 3))
    if reagent == 0:
        share = float(rng.uniform(0.5, 0.8))
        bench.plateau_mg_L[group] = share * _strongest(bench)
        return Slip("curved", "ligand_short", size=share - 1)
    loss, detail = _partial_colour(rng, reagent)
    bench.standards.colour[group] *= 1 - loss
    bench.unknown.colour[group] *= 1 - loss
    return Slip("meter_scale", detail, size=-loss)


def _partial_colour(rng: Generator, reagent: int) -> tuple[float, str]:
    if reagent == 1:
        return float(rng.uniform(0.05, 0.20)), "reductant_left_out"
    return float(rng.uniform(0.10, 0.60)), "buffer_left_out"


def _strongest(bench: Bench) -> float:
    plan, scheme = bench.plan.standards, bench.plan.scheme
    iron_mg = plan.mass_g * 1000 * scheme.purity * scheme.analyte_fraction
    working = iron_mg / plan.flask_mL[0] * 1000 * float(np.prod(plan.dilutions))
    return working * float(np.max(plan.tube_take_mL / plan.tube_flask_mL))


def _other_lot(rng: Generator, bench: Bench, group: int) -> Slip | None:
    lots = bench.layout.lot
    neighbours = [n for n in (group - 1, group + 1) if 0 <= n < len(lots)]
    others = [int(lots[n]) for n in neighbours if lots[n] != lots[group]]
    if not others:
        return None
    used = int(rng.choice(others))
    bench.powder[group] = used
    percent = bench.layout.lots.true_percent
    size = float(percent[used] / percent[lots[group]] - 1)
    return Slip("other_lot", "neighbours_vial", size=size)


def _not_rezeroed(_rng: Generator, bench: Bench, group: int) -> Slip:
    n, sitting = bench.n_standards, bench.sitting
    # The run goes on where the standards ended, on a lamp that has not settled yet.
    sitting.order[group] = np.linspace(0.0, 1.0, bench.n_tubes)
    sitting.drift_factor[group] = 4.0
    drift = bench.layout.stations.drift_percent_T[sitting.station[group]] * 4.0
    return Slip(
        "unknown_side",
        "not_rezeroed_before_unknown",
        size=float(drift * sitting.order[group, n:].mean() / 100),
    )


def _wavelength_left(rng: Generator, bench: Bench, group: int) -> Slip:
    left_nm = float(rng.choice(_OTHER_USERS_NM))
    bench.sitting.wavelength_nm[group] = left_nm
    return Slip("meter_scale", f"wavelength_left_at_{left_nm:.0f}_nm")


def _water_as_blank(rng: Generator, bench: Bench, group: int) -> Slip:
    colour = float(rng.uniform(0.01, 0.05))
    bench.sitting.blank_absorbance[group] = colour
    return Slip("zero_offset", "water_used_as_blank", size=colour)


def _one_tube_code(bench: Bench, index: int) -> str:
    return "tube_off" if index < bench.n_standards else "unknown_tube_off"


#: Slips before the readings are written down, in the order they are drawn.
BENCH_SLIPS: Mapping[str, BenchSlip] = {
    "salt_loss": _salt_lost,
    "flask_misfilled": _flask_misfilled,
    "unknown_loss": _unknown_lost,
    "wrong_pipette": _wrong_pipette,
    "one_bad_standard": _one_bad_standard,
    "tubes_swapped": _swapped,
    "reagent_missed_once": _reagent_missed_once,
    "reagent_missed_throughout": _reagent_missed_throughout,
    "other_lot": _other_lot,
    "not_rezeroed": _not_rezeroed,
    "wavelength_left": _wavelength_left,
    "water_as_blank": _water_as_blank,
}
