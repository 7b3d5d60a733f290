"""Draws of all that one submission's answer rests on."""

from dataclasses import replace

import numpy as np
from numpy.random import Generator

from results.science.answer import Answers, Readings, Reason, compute_answers
from results.science.arrays import FloatArray
from results.science.glassware import Tolerances
from results.science.readings import meter_of
from results.science.scheme import Scheme, Step, Tube

#: Darker than any meter shows, %T: keeps draws out of the logarithm's way.
DARKEST_PERCENT_T = 1e-3


def draw_error_mL(
    rng: Generator, tolerances: Tolerances, device: str, volume_mL: float, trials: int
) -> FloatArray:
    """Draw errors of one volume, mL: the glass by its limit, the filling as normal.

    Parameters
    ----------
    rng : Generator
    tolerances : Tolerances
    device, volume_mL
        As in `Tolerances.standard_uncertainty_mL`.
    trials : int
    """
    override = tolerances.override_of(device, volume_mL)
    if override is not None and not np.isnan(override.u_mL):
        return np.asarray(override.u_mL * rng.standard_normal(trials))
    limit_mL = tolerances.limit_mL(device, volume_mL)
    if tolerances.distribution == "triangular":
        # The sum of two rectangular variables is triangular.
        glass = rng.random(trials) - rng.random(trials)
    else:
        glass = 2.0 * rng.random(trials) - 1.0
    filling = tolerances.handling_sd_mL(device, volume_mL) * rng.standard_normal(trials)
    return np.asarray(limit_mL * glass + filling)


class Draws:
    """Draws of one answer.

    Parameters
    ----------
    scheme : Scheme
    one : Readings
        Of one submission.
    answer : Answers
        Computed from it.
    rng : Generator
    """

    def __init__(
        self, scheme: Scheme, one: Readings, answer: Answers, rng: Generator
    ) -> None:
        self.scheme = scheme
        self.one = one
        self.rng = rng
        self.phi = float(answer.moderated_phi[0])
        self.df = float(answer.moderated_df[0])
        self.failed = 0
        reading, unstated = scheme.reading, np.full(1, np.nan)
        self.noise = meter_of(replace(reading, step=0.0), replace(one, step=unstated))
        self.rounding = meter_of(
            replace(reading, sd=0.0, sd_relative=0.0), replace(one, sd=unstated)
        )

    def block(self, trials: int) -> FloatArray:
        """Draw some trials, recompute each, and keep the answers, % by mass."""
        drawn = compute_answers(self.scheme, self._readings(trials))
        computed = drawn.reason == Reason.COMPUTED
        self.failed += int(np.sum(~computed))
        return np.asarray(drawn.iron_percent[computed])

    def _readings(self, trials: int) -> Readings:
        scheme = self.scheme
        chi_squared = self.rng.chisquare(self.df, trials)
        scale = np.sqrt(self.phi * self.df / chi_squared)
        purity = scheme.purity_u / scheme.purity * self.rng.standard_normal(trials)
        many = self.one.rows(np.zeros(trials, dtype=np.int64))
        standard_chain = self._chain(scheme.standard_steps, trials)
        blank = self._read(self._blank(many.blank_signal)[:, None, :], scale)
        return replace(
            many,
            standard_mass_g=self._mass(many.standard_mass_g)
            * (1.0 + purity)
            * standard_chain,
            unknown_mass_g=self._mass(many.unknown_mass_g)
            * self._chain(scheme.unknown_steps, trials),
            standard_taken_mL=self._filled(
                scheme.standards, many.standard_taken_mL, scale
            ),
            unknown_taken_mL=self._filled(
                scheme.unknowns, many.unknown_taken_mL, scale
            ),
            standard_signal=self._read(many.standard_signal, scale),
            unknown_signal=self._read(many.unknown_signal, scale),
            blank_signal=blank[:, 0, :],
        )

    def _mass(self, mass_g: FloatArray) -> FloatArray:
        u_g = self.scheme.tolerances.balance_u_g
        return np.asarray(mass_g + u_g * self.rng.standard_normal(mass_g.shape))

    def _chain(self, steps: tuple[Step, ...], trials: int) -> FloatArray:
        """Draw by how much a chain's concentration differs from the planned one."""
        factor = np.ones(trials)
        for step in steps:
            if step.is_take:
                factor *= self._volume(step.delivery, step.take_mL, trials)
            else:
                factor /= self._volume("flask", step.make_up_mL, trials)
        return factor

    def _volume(self, device: str, volume_mL: float, trials: int) -> FloatArray:
        """Draw a volume relative to the planned one."""
        error_mL = draw_error_mL(
            self.rng, self.scheme.tolerances, device, volume_mL, trials
        )
        return np.asarray(1.0 + error_mL / volume_mL)

    def _filled(
        self, tubes: tuple[Tube, ...], taken_mL: FloatArray, scale: FloatArray
    ) -> FloatArray:
        """Draw the volumes that would have given what the tubes really hold."""
        filled = np.array(taken_mL)
        for place, tube in enumerate(tubes):
            if tube.take_mL > 0.0:
                taken = taken_mL[:, place]
                error_mL = draw_error_mL(
                    self.rng,
                    self.scheme.tolerances,
                    tube.delivery,
                    tube.take_mL,
                    len(taken),
                )
                flask = self._volume("flask", tube.make_up_mL, len(taken)) - 1.0
                filled[:, place] = taken + scale * (error_mL - taken * flask)
        return filled

    def _blank(self, signal: FloatArray) -> FloatArray:
        at_zero = 0.0 if self.one.is_absorbance[0] else 100.0
        return np.where(np.isnan(signal), at_zero, signal)

    def _read(self, signal: FloatArray, scale: FloatArray) -> FloatArray:
        """Draw other readings of the same tubes, on the scale they were read on.

        Parameters
        ----------
        signal : array (trials, k, R)
        scale : array (trials,)
        """
        in_A = bool(self.one.is_absorbance[0])
        absorbance = signal if in_A else 2.0 - np.log10(signal)
        light = 100.0 * 10.0**-absorbance
        normal = scale[:, None, None] * self.rng.standard_normal(signal.shape)
        # A rectangular variable of variance one.
        flat = np.sqrt(12.0) * (self.rng.random(signal.shape) - 0.5)
        flat = scale[:, None, None] * flat
        noise, rounding = self.noise, self.rounding
        light_sd = np.hypot(
            np.sqrt(noise.light_variance[0]), noise.light_relative * light
        )
        light = light + light_sd * normal + np.sqrt(rounding.light_variance[0]) * flat
        absorbance_sd = np.hypot(
            np.sqrt(noise.absorbance_variance[0]),
            noise.absorbance_relative * absorbance,
        )
        drawn = 2.0 - np.log10(np.maximum(light, DARKEST_PERCENT_T))
        drawn = drawn + absorbance_sd * normal
        drawn = drawn + np.sqrt(rounding.absorbance_variance[0]) * flat
        return np.asarray(drawn if in_A else 100.0 * 10.0**-drawn)
