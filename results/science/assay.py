"""What a lot of unknown material contains, from how it was made and measured."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import fdtri

from results.science.arrays import FloatArray
from results.science.effects.one_way import one_way
from results.science.estimates import Component, Estimated, combined
from results.science.scores import zeta_scores

_LEVEL = 0.05


class Scatter(StrEnum):
    """What the scatter of a mean was taken from."""

    OWN = "own"
    POOLED = "pooled"
    METHOD = "method"
    VIALS = "vials"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Mean:
    """The mean of replicates.

    Attributes
    ----------
    sd : float
        Standard deviation of a single result, NaN for one result alone.
    u, df : float
        Standard uncertainty of the mean from scatter, and its degrees of freedom;
        u is NaN where nothing is known of the scatter.
    """

    value: float
    sd: float
    n: int
    n_vials: int
    u: float
    df: float
    scatter: Scatter

    @property
    def component(self) -> Component:
        """The scatter as one part of an uncertainty."""
        return Component("scatter", self.u, self.df)


@dataclass(frozen=True, slots=True)
class Experience:
    """What is known of a method's scatter from before.

    Attributes
    ----------
    sd : float
        Standard deviation of a single result, above zero.
    df : float
        Degrees of freedom behind it; infinite if it is simply relied on.
    """

    sd: float
    df: float = math.inf


def mean_of(
    values: ArrayLike, vials: ArrayLike, experience: Experience | None = None
) -> Mean:
    """Return the mean of replicates and what their scatter makes of it.

    Parameters
    ----------
    values : array (n,)
    vials : array (n,)
        The vial that each was taken from; empty where that is not known.
    experience : Experience, optional
        Pooled with the scatter of the replicates themselves.

    Raises
    ------
    ValueError
        If there are no values.

    Notes
    -----
    s / √n with n - 1 degrees of freedom (JCGM 100:2008, 4.2.3), which Student's t
    makes good for small n (G.3); with experience a pooled s (4.2.4).  Replicates of
    several vials are first compared: if the vials differ at the 5 % level, the
    vials' means are the sample, otherwise all results are (H.5.2).

    Examples
    --------
    >>> found = mean_of([12.01, 12.05, 12.03], ["", "", ""])
    >>> round(found.value, 2), round(found.u, 4), found.df
    (12.03, 0.0115, 2)
    """
    numbers = np.asarray(values, dtype=np.float64)
    names = np.asarray(vials, dtype=np.str_)
    if numbers.size == 0:
        message = "A mean needs at least one value."
        raise ValueError(message)
    n_vials = np.unique(names[names != ""]).size
    if _vials_differ(numbers, names):
        return _of_vials(numbers, names)
    n, own_df = numbers.size, numbers.size - 1
    sd = float(np.std(numbers, ddof=1)) if own_df else math.nan
    value = float(np.mean(numbers))
    if experience is None:
        if not own_df:
            return Mean(value, sd, n, n_vials, math.nan, math.nan, Scatter.UNKNOWN)
        return Mean(value, sd, n, n_vials, sd / math.sqrt(n), own_df, Scatter.OWN)
    pooled, df = _pooled(sd, own_df, experience)
    scatter = Scatter.POOLED if own_df else Scatter.METHOD
    return Mean(value, sd, n, n_vials, pooled / math.sqrt(n), df, scatter)


def _pooled(sd: float, own_df: int, known: Experience) -> tuple[float, float]:
    if not own_df or math.isinf(known.df):
        return known.sd, known.df
    df = own_df + known.df
    return math.sqrt((own_df * sd**2 + known.df * known.sd**2) / df), df


def _vials_differ(values: FloatArray, vials: np.ndarray) -> bool:
    _, counts = np.unique(vials, return_counts=True)
    if np.any(vials == "") or counts.size < 2 or counts.max() < 2:
        return False
    found = one_way(values, vials)
    if found.sum_squares_within == 0.0:
        return found.sum_squares_between > 0.0
    limit = fdtri(found.df_between, found.df_within, 1.0 - _LEVEL)
    return bool(found.f_ratio > limit)


def _of_vials(values: FloatArray, vials: np.ndarray) -> Mean:
    means = np.array([np.mean(values[vials == one]) for one in np.unique(vials)])
    return Mean(
        value=float(np.mean(means)),
        sd=float(np.std(values, ddof=1)),
        n=values.size,
        n_vials=means.size,
        u=float(np.std(means, ddof=1) / math.sqrt(means.size)),
        df=means.size - 1,
        scatter=Scatter.VIALS,
    )


@dataclass(frozen=True, slots=True)
class MakeUp:
    """A lot made up by weight from an assayed salt and a diluent.

    Attributes
    ----------
    salt_g, diluent_g : float
    iron_fraction : float
        Mass of iron in one gram of the pure salt, taken as exact.
    purity, u_purity : float
        Mass of the pure salt in one gram of what was weighed, g/g.
    water_percent, u_water_percent : float
        Water taken up since, in percent of the lot as it is issued.
    balance_u_g : float
        Standard uncertainty of a weighing by difference.
    """

    salt_g: float
    diluent_g: float
    iron_fraction: float
    purity: float
    u_purity: float
    water_percent: float = 0.0
    u_water_percent: float = 0.0
    balance_u_g: float = 0.0002


def made_up(record: MakeUp) -> Estimated:
    """Return what a lot contains by the way it was made up, % by mass.

    w = 100 m_s f P (1 - h / 100) / (m_s + m_d); the parts of its uncertainty by the
    partial derivatives (JCGM 100:2008, 5.1.2).

    Examples
    --------
    >>> found = made_up(MakeUp(400.0, 100.0, 0.14242, 0.998, 0.002))
    >>> round(found.value, 3), round(found.u, 4)
    (11.371, 0.0228)
    """
    total_g = record.salt_g + record.diluent_g
    dry = 1.0 - record.water_percent / 100.0
    pure_g = record.salt_g * record.purity
    value = 100.0 * pure_g * record.iron_fraction * dry / total_g
    of_salt = value * record.diluent_g / (record.salt_g * total_g)
    of_diluent = value / total_g
    return combined(
        value,
        (
            Component("purity", value * record.u_purity / record.purity),
            Component("weighing", record.balance_u_g * math.hypot(of_salt, of_diluent)),
            Component("water", value * record.u_water_percent / 100.0 / dry),
        ),
    )


def certified(value: float, expanded: float, k: float) -> Estimated:
    """Return a certificate's value with its standard uncertainty, U / k.

    Examples
    --------
    >>> certified(12.0, 0.06, 2.0).u
    0.03
    """
    return combined(value, (Component("certificate", expanded / k),))


def agreement(one: Estimated, other: Estimated) -> float:
    """Return the zeta score of two values of one lot (ISO 13528, 9.6).

    NaN where an uncertainty is not known.

    Examples
    --------
    >>> round(agreement(certified(12.1, 0.06, 2.0), certified(12.0, 0.08, 2.0)), 2)
    2.0
    """
    if not (one.is_known and other.is_known):
        return math.nan
    return float(zeta_scores(one.value, other.value, one.u, other.u))
