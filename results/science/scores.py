"""Performance scores of ISO 13528 (2015), clause 9, of groups and of sections."""

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from results.science.arrays import BoolArray, FloatArray

#: A score up to the first is acceptable, from the second on it asks for action.
WARNING, ACTION = 2.0, 3.0
#: An assigned value's uncertainty below this share of sigma_pt is negligible (9.2.1).
NEGLIGIBLE_SHARE = 0.3


class Judgement(StrEnum):
    """What a score says, in the standard's words."""

    ACCEPTABLE = "acceptable"
    WARNING = "warning signal"
    ACTION = "action signal"


def z_scores(x: ArrayLike, assigned: ArrayLike, sigma_pt: ArrayLike) -> FloatArray:
    """Z = (x - x_pt) / sigma_pt (9.4).

    Parameters
    ----------
    x, assigned : array (...)
        Results and assigned values, in one unit.
    sigma_pt : array (...)
        Standard deviation for proficiency assessment, in the same unit; above zero.

    Raises
    ------
    ValueError
        If a standard deviation is not above zero.

    Examples
    --------
    >>> z_scores([12.3], 12.0, 0.2).round(2).tolist()
    [1.5]
    """
    return _over(x, assigned, _above_zero(sigma_pt))


def z_prime_scores(
    x: ArrayLike, assigned: ArrayLike, sigma_pt: ArrayLike, u_assigned: ArrayLike
) -> FloatArray:
    """Z' = (x - x_pt) / sqrt(sigma_pt² + u(x_pt)²), for uncertain values (9.5).

    Examples
    --------
    >>> z_prime_scores([12.5], 12.0, 0.3, 0.4).round(2).tolist()
    [1.0]
    """
    return _over(
        x,
        assigned,
        np.hypot(_above_zero(sigma_pt), np.asarray(u_assigned, dtype=np.float64)),
    )


def zeta_scores(
    x: ArrayLike, assigned: ArrayLike, u_x: ArrayLike, u_assigned: ArrayLike
) -> FloatArray:
    """Zeta = (x - x_pt) / sqrt(u(x)² + u(x_pt)²), by the result's own claim (9.6).

    NaN where both uncertainties are zero.

    Examples
    --------
    >>> zeta_scores([12.5], 12.0, 0.3, 0.4).round(2).tolist()
    [1.0]
    """
    u = np.hypot(
        np.asarray(u_x, dtype=np.float64), np.asarray(u_assigned, dtype=np.float64)
    )
    return _over(x, assigned, np.where(u > 0.0, u, np.nan))


def is_negligible(u_assigned: ArrayLike, sigma_pt: ArrayLike) -> BoolArray:
    """Whether z may be used, as z' would differ from it by less than 5 % (9.2.1)."""
    return np.asarray(
        np.asarray(u_assigned, dtype=np.float64)
        < NEGLIGIBLE_SHARE * _above_zero(sigma_pt)
    )


def judge(score: float) -> Judgement:
    """Say what a score asks for (9.4.2).

    Examples
    --------
    >>> judge(-2.4).value
    'warning signal'
    """
    if abs(score) >= ACTION:
        return Judgement.ACTION
    return Judgement.WARNING if abs(score) > WARNING else Judgement.ACCEPTABLE


def _over(x: ArrayLike, assigned: ArrayLike, sd: FloatArray) -> FloatArray:
    difference = np.asarray(x, dtype=np.float64) - np.asarray(
        assigned, dtype=np.float64
    )
    return np.asarray(difference / sd)


def _above_zero(sigma_pt: ArrayLike) -> FloatArray:
    sd = np.asarray(sigma_pt, dtype=np.float64)
    if not np.all(sd > 0.0):
        message = "The standard deviation for proficiency assessment is above zero."
        raise ValueError(message)
    return sd
