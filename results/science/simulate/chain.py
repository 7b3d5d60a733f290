"""How volumes and masses really turn out when students follow a plan."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from results.science.simulate.plan import SidePlan

Array = NDArray[np.float64]

# Limits ±mL at 20 °C, class A of ISO 1042 (flasks), ISO 648 (pipettes) and ISO 835
# (graduated pipettes), from memory: check before quoting.
_FLASK = ((10, 25, 50, 100, 200, 250, 500, 1000), (25, 40, 60, 100, 150, 150, 250, 400))
_PIPETTE = ((1, 2, 5, 10, 15, 20, 25, 50), (8, 10, 15, 20, 25, 30, 30, 50))
# A 50 mL burette, ISO 385 class A, spread over its whole length.
_BURETTE_LIMIT_PER_ML = 0.05 / 50
_BURETTE_READING_SD_ML = 0.03
# A burette is stopped near the planned volume, and the volume reached is written down.
_BURETTE_AIM_SD_ML = 0.05
_BURETTE_STEP_ML = 0.05
# Piston pipettes, ISO 8655-2: systematic and random limits, relative.
_PISTON_SYSTEMATIC, _PISTON_RANDOM = 0.008, 0.003
_GRADUATED_SD = 0.01
# Handling by an average pair, relative; students, not the glass, dominate.
_PIPETTE_HANDLING_SD, _FLASK_HANDLING_SD = 0.0025, 0.0015

_MASS_SPREAD_G, _BALANCE_SD_G, _BALANCE_STEP_G = 0.010, 0.00015, 0.0001


@dataclass(slots=True)
class Side:
    """The real volumes of one side of the experiment, for N groups.

    Slips change these arrays in place before the concentrations are worked out.
    ``share`` is the part of the powder that reached the first flask, ``colour`` the
    part of the iron in a tube that shows its colour, ``aimed_mL`` what is written down.
    """

    share: Array
    flask_mL: Array
    take_mL: Array
    tube_take_mL: Array
    tube_flask_mL: Array
    aimed_mL: Array
    colour: Array

    def concentrations(self, iron_mg: Array) -> Array:
        """Coloured iron in each tube, mg/L, from the iron weighed in, mg; (N, n)."""
        first = self.share * iron_mg / self.flask_mL[:, 0] * 1000
        working = first * np.prod(self.take_mL / self.flask_mL[:, 1:], axis=1)
        in_tube = self.tube_take_mL / self.tube_flask_mL
        return np.asarray(working[:, np.newaxis] * in_tube * self.colour)


def draw_masses(rng: Generator, nominal_g: float, skill: Array) -> tuple[Array, Array]:
    """Draw weighed masses: what is in the boat and what is written down, g; (N,)."""
    true_g = nominal_g + _MASS_SPREAD_G * rng.standard_normal(skill.shape)
    true_g = np.maximum(true_g, 0.2 * nominal_g)
    shown_g = true_g + _BALANCE_SD_G * skill * rng.standard_normal(skill.shape)
    return true_g, _to_step(shown_g, _BALANCE_STEP_G)


def draw_side(rng: Generator, plan: SidePlan, skill: Array) -> Side:
    """Draw the volumes of every group.

    Parameters
    ----------
    rng : Generator
    plan : SidePlan
    skill : ndarray of shape (N,)
        Multiplies the handling errors; 1 is a careful pair, larger is rougher.

    Notes
    -----
    Glass limits are taken as triangular (EURACHEM/CITAC QUAM, example A1).
    """
    n_groups = len(skill)
    flask_mL = np.stack([_flask(rng, mL, skill) for mL in plan.flask_mL], axis=1)
    takes = [
        _delivered(rng, mL, device, skill)[0]
        for mL, device in zip(plan.take_mL, plan.take_with, strict=True)
    ]
    take_mL = np.stack(takes, axis=1) if takes else np.empty((n_groups, 0))
    tubes = [
        _delivered(rng, float(mL), device, skill)
        for mL, device in zip(plan.tube_take_mL, plan.tube_with, strict=True)
    ]
    tube_flasks = [_flask(rng, float(mL), skill) for mL in plan.tube_flask_mL]
    return Side(
        share=np.ones(n_groups),
        flask_mL=flask_mL,
        take_mL=take_mL,
        tube_take_mL=np.stack([delivered for delivered, _ in tubes], axis=1),
        tube_flask_mL=np.stack(tube_flasks, axis=1),
        aimed_mL=np.stack([aimed for _, aimed in tubes], axis=1),
        colour=np.ones((n_groups, len(tubes))),
    )


def _flask(rng: Generator, nominal_mL: float, skill: Array) -> Array:
    limit_mL = np.interp(nominal_mL, _FLASK[0], _FLASK[1]) / 1000
    handling = _FLASK_HANDLING_SD * skill * rng.standard_normal(skill.shape)
    return np.asarray(
        nominal_mL * (1 + handling) + limit_mL * _triangular(rng, len(skill))
    )


def _delivered(
    rng: Generator, nominal_mL: float, device: str, skill: Array
) -> tuple[Array, Array]:
    """Volume really delivered, and volume written down."""
    n_groups = len(skill)
    noise = skill * rng.standard_normal(n_groups)
    written = np.full(n_groups, nominal_mL)
    if device == "burette":
        aim = nominal_mL + _BURETTE_AIM_SD_ML * rng.standard_normal(n_groups)
        written = _to_step(aim, _BURETTE_STEP_ML)
        scale = 1 + _BURETTE_LIMIT_PER_ML * _triangular(rng, n_groups)
        # Two readings of the meniscus make one delivery.
        return written * scale + np.sqrt(2) * _BURETTE_READING_SD_ML * noise, written
    if device == "piston pipette":
        systematic = _PISTON_SYSTEMATIC * _triangular(rng, n_groups)
        return nominal_mL * (1 + systematic + _PISTON_RANDOM * noise), written
    if device in {"graduated pipette", "cylinder"}:
        return nominal_mL * (1 + _GRADUATED_SD * noise), written
    limit_mL = np.interp(nominal_mL, _PIPETTE[0], _PIPETTE[1]) / 1000
    handling = nominal_mL * (1 + _PIPETTE_HANDLING_SD * noise)
    return handling + limit_mL * _triangular(rng, n_groups), written


def _triangular(rng: Generator, size: int) -> Array:
    return rng.triangular(-1.0, 0.0, 1.0, size)


def _to_step(values: Array, step: float) -> Array:
    # Dividing by the whole number of steps per unit keeps 0.1234 exactly 0.1234.
    per_unit = round(1 / step)
    return np.asarray(np.round(values * per_unit) / per_unit)
