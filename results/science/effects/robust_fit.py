"""Robust crossed random effects: weights, equations and variances by turns."""

import math
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.stats import norm

from results.science.arrays import BoolArray, FloatArray
from results.science.effects.design import Factor
from results.science.effects.equations import Solution
from results.science.effects.polish import MEDIAN_FACTOR, Polish
from results.science.effects.small import equations_of
from results.science.effects.winsor import CLOSE
from results.science.robust import MAD_TO_SD

#: Tukey's biweight at 95 % efficiency for normal errors.
TUKEY = 4.685
#: Residuals within this many standard deviations tell the scatter.
TRUSTED = 2.5
#: A spread is not let below this share of what chance alone gives level means.
SMALLEST_SPREAD = 0.2
#: A freed level's own spread, in residual standard deviations: as good as unlimited.
FREE_SPREAD = 1000.0
SETTLED = 1e-3
#: Scatter below this share of the largest response is rounding: equal responses leave
#: nothing to weigh by.
ROUNDING = 1e-8


def _trusted_variance(cut: float) -> float:
    """Variance of a standard normal deviate that is known to lie within the cut."""
    inside = 2.0 * norm.cdf(cut) - 1.0
    return float(1.0 - 2.0 * cut * norm.pdf(cut) / inside)


def _tukey_moments(cut: float) -> tuple[float, float, float]:
    """Means of Tukey's weight, of its psi's slope and square, for normal residuals."""
    c = cut**-2
    weight = 1.0 - 2.0 * c + 3.0 * c**2
    slope = 1.0 - 6.0 * c + 15.0 * c**2
    square = 1.0 - 12.0 * c + 90.0 * c**2 - 420.0 * c**3 + 945.0 * c**4
    return weight, slope, square


_WEIGHT, _SLOPE, _SQUARE = _tukey_moments(TUKEY)
#: A weighted row tells as much as this many weights: psi's efficiency, 95 %, over
#: the mean weight.
_INFORMATION = _SLOPE**2 / _SQUARE / _WEIGHT
#: Psi answers a shift by its slope only; this much more makes up for it.  Without it
#: effects are drawn too far towards zero, and their spread comes out too small.
_RELAXATION = _SLOPE / _SQUARE / _INFORMATION
_TRUSTED_VARIANCE = _trusted_variance(TRUSTED)


@dataclass(slots=True)
class State:
    """A fit under way; everything by factor is a list.

    Attributes
    ----------
    sigma : float
        Residual standard deviation.
    spread : list of array (L,)
        Standard deviation of the levels of each factor, one number a level where it
        is declared.
    freed : list of array of bool (L,)
        Levels that are not shrunk.
    overall : float
    effect, variance : list of array (L,)
        Predictions and their prediction error variances.
    weight : array (N,)
        Tukey's weights.
    """

    sigma: float
    spread: list[FloatArray]
    freed: list[BoolArray]
    overall: float
    effect: list[FloatArray]
    variance: list[FloatArray]
    weight: FloatArray = field(default_factory=lambda: np.zeros(0))


class RobustFit:
    """The crossed model of some rows, fitted by turns.

    Algorithm: Tukey's weights in Henderson's equations, residual variance from the
    trusted rows, and R. Schall's step for the spreads (Biometrika 78, 1991, 719)
    with winsorised effects (after W. H. Fellner, Technometrics 28, 1986, 51), pulled
    in to ``cut``: closely at first.

    Parameters
    ----------
    y : array (N,)
    factors : tuple of Factor
    polish : Polish
        Where to start from.
    freed : list of array of bool (L,)
        Levels that are not shrunk from the start.
    overall_sd : float
        How far from zero the overall level may usually lie; infinite if anywhere.
    """

    def __init__(
        self,
        y: FloatArray,
        factors: tuple[Factor, ...],
        polish: Polish,
        freed: list[BoolArray],
        overall_sd: float = math.inf,
    ) -> None:
        self.y, self.factors = y, factors
        self.cut = CLOSE
        self._overall_precision = overall_sd**-2
        self._equations = equations_of(factors)
        self._least_sigma = ROUNDING * float(np.max(np.abs(y), initial=1e-9))
        sigma = max(polish.sigma, self._least_sigma)
        self.state = State(
            sigma=sigma,
            spread=[
                _first_spread(one, effect, sigma, free)
                for one, effect, free in zip(
                    factors, polish.effects, freed, strict=True
                )
            ],
            freed=freed,
            overall=polish.overall,
            effect=list(polish.effects),
            variance=[np.zeros(len(one)) for one in factors],
        )

    def snapshot(self) -> State:
        """Return a state to go back to: what is changed in place is copied."""
        return replace(
            self.state,
            freed=[one.copy() for one in self.state.freed],
            spread=list(self.state.spread),
        )

    def residual(self) -> FloatArray:
        """Return what no effect explains, shape (N,)."""
        fitted = np.full(self.y.shape, self.state.overall)
        for one, effect in zip(self.factors, self.state.effect, strict=True):
            fitted += effect[one.codes]
        return np.asarray(self.y - fitted, dtype=np.float64)

    def sweep(self, most: int) -> None:
        """Take turns until sigma and the spreads settle, at most so many times."""
        for _ in range(most):
            before = self._scales()
            self._turn()
            if np.allclose(self._scales(), before, rtol=SETTLED, atol=0.0):
                break

    def _scales(self) -> FloatArray:
        return np.array([self.state.sigma, *(s[0] for s in self.state.spread)])

    def _turn(self) -> None:
        state = self.state
        residual = self.residual()
        state.weight = _tukey(residual / state.sigma)
        information = _INFORMATION * state.weight / state.sigma**2
        working = self.y + (_RELAXATION - 1.0) * residual
        precision = np.concatenate([*self._precisions(), [self._overall_precision]])
        self._keep(self._equations.solve(information, working, precision))
        state.sigma = self._sigma()
        for place, one in enumerate(self.factors):
            if one.declared_sd is None:
                state.spread[place] = self._spread(place)

    def _precisions(self) -> list[FloatArray]:
        state = self.state
        unlimited = FREE_SPREAD * state.sigma
        return [
            np.where(free, unlimited, spread) ** -2
            for free, spread in zip(state.freed, state.spread, strict=True)
        ]

    def _keep(self, solved: Solution) -> None:
        ends = np.cumsum([len(one) for one in self.factors])[:-1]
        self.state.effect = np.split(solved.effect[:-1], ends)
        self.state.variance = np.split(solved.variance[:-1], ends)
        self.state.overall = float(solved.effect[-1])

    def _sigma(self) -> float:
        state, residual = self.state, self.residual()
        trusted = np.abs(residual) < TRUSTED * state.sigma
        n = int(np.sum(trusted))
        spent = 1.0
        for precision, variance in zip(self._precisions(), state.variance, strict=True):
            spent += float(np.sum(1.0 - np.minimum(variance * precision, 1.0)))
        if n <= spent + 1.0:
            return state.sigma
        mean_square = float(np.mean(residual[trusted] ** 2)) / _TRUSTED_VARIANCE
        return max(float(np.sqrt(mean_square * n / (n - spent))), self._least_sigma)

    def _spread(self, place: int) -> FloatArray:
        state = self.state
        held = ~state.freed[place]
        spread = state.spread[place]
        known = np.maximum(spread**2 - state.variance[place], 1e-6 * spread**2)
        z = state.effect[place] / np.sqrt(known)
        pulled_in = np.clip(z[held], -self.cut.at, self.cut.at)
        step = float(np.sqrt(np.mean(pulled_in**2) / self.cut.mean_square))
        return np.maximum(step * spread, self.smallest_spread(place))

    def smallest_spread(self, place: int) -> float:
        """Return what a factor's spread is not let below."""
        return _floor(self.factors[place], self.state.sigma)


def _tukey(scaled: FloatArray) -> FloatArray:
    inside = 1.0 - (scaled / TUKEY) ** 2
    return np.asarray(np.maximum(inside, 0.0) ** 2, dtype=np.float64)


def _floor(one: Factor, sigma: float) -> float:
    return SMALLEST_SPREAD * sigma * float(np.sqrt(len(one) / one.codes.size))


def _first_spread(
    one: Factor, effect: FloatArray, sigma: float, freed: BoolArray
) -> FloatArray:
    if one.declared_sd is not None:
        return one.declared_sd
    held = ~freed
    seen = (MAD_TO_SD * float(np.median(np.abs(effect[held])))) ** 2
    chance = float(np.mean((MEDIAN_FACTOR * sigma) ** 2 / one.count[held]))
    least = 2.0 * _floor(one, sigma)
    return np.full(len(one), max(np.sqrt(max(seen - chance, 0.0)), least))
