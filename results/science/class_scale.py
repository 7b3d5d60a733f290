"""How much a class scatters, against what is declared: borrowed by each group."""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.special import fdtr

from results.science.arrays import BoolArray, FloatArray

#: Fewer groups than this say too little about their class.
FEWEST_GROUPS = 30
LOWER, UPPER = 0.15, 0.45
#: Residual variance, relative to a usual one, that is nothing but rounding.
PERFECT = 1e-9
#: Degrees of freedom beyond which groups cannot be told from alike.
LEAST_D0, MOST_D0 = 0.5, 1e4


@dataclass(frozen=True, slots=True)
class ClassScale:
    """Scatter of a class: its usual residual variance and how sure that is.

    Attributes
    ----------
    s0_sq : float
        Weighted residual variance of a usual group; one if it scatters as declared.
    d0 : float
        Degrees of freedom that knowing the class is worth; zero if nothing.
    n : int
        Groups it was fitted to.
    """

    s0_sq: float
    d0: float
    n: int

    def moderate(
        self, phi: FloatArray, df: FloatArray, flagged: BoolArray
    ) -> tuple[FloatArray, FloatArray]:
        """Draw residual variances towards the class, by G. K. Smyth's formula.

        Parameters
        ----------
        phi, df : array (...)
        flagged : array of bool (...)
            Groups that are not like their class and keep their own scale.

        Returns
        -------
        phi, df : array (...)
            (d0 s0² + df phi) / (d0 + df), and d0 + df.
        """
        d0 = np.where(flagged, 0.0, self.d0)
        total = np.asarray(d0 + df)
        return np.asarray((d0 * self.s0_sq + df * phi) / total), total


OWN_SCALE = ClassScale(s0_sq=1.0, d0=0.0, n=0)


def fit_class_scale(
    phi: FloatArray, df: FloatArray, contamination: float = 0.05
) -> ClassScale:
    """Fit the class scale from the quieter half of the groups.

    Residual variances of a class follow s0² F(df, d0) where the groups' true
    variances vary as a scaled inverse chi-squared (G. K. Smyth, Stat. Appl. Genet.
    Mol. Biol. 3, 2004, article 3).  Both numbers are solved for from the 15 % and
    45 % quantiles, which slips in the upper half do not reach.

    Parameters
    ----------
    phi, df : array (N,)
        Weighted residual variances and their degrees of freedom, from a first
        computation without a class scale.  Rows with NaN are left out: put NaN for
        groups that a slip was found in.
    contamination : float
        Share of the groups expected to have slips that nothing found; they lie
        above both quantiles.

    Returns
    -------
    ClassScale
        Worth nothing (``d0`` zero) for fewer than 30 groups.
    """
    known = np.isfinite(phi) & (df >= 1.0)
    values, count = phi[known], int(np.sum(known))
    at = np.array([LOWER, UPPER])
    quantiles = np.quantile(values, at) if count >= FEWEST_GROUPS else np.zeros(2)
    if not quantiles[1] > 0.0:
        return ClassScale(s0_sq=1.0, d0=0.0, n=count)
    levels, sizes = np.unique(df[known], return_counts=True)
    shares = sizes / count
    # Rounding makes some fits perfect; no logarithm is taken of those.
    low, high = np.log(np.maximum(quantiles, PERFECT * quantiles[1]))
    clean = at / (1.0 - contamination)

    def excess(log_d0: float) -> float:
        spread = np.diff(_log_quantiles(clean, levels, shares, float(np.exp(log_d0))))
        return float(spread[0] - (high - low))

    span = np.log(LEAST_D0), np.log(MOST_D0)
    if excess(span[1]) >= 0.0:
        log_d0 = span[1]
    elif excess(span[0]) <= 0.0:
        log_d0 = span[0]
    else:
        log_d0 = float(brentq(excess, *span, xtol=1e-4))
    d0 = float(np.exp(log_d0))
    middle = float(np.mean(_log_quantiles(clean, levels, shares, d0)))
    return ClassScale(s0_sq=float(np.exp((low + high) / 2 - middle)), d0=d0, n=count)


def _log_quantiles(
    at: FloatArray, df: FloatArray, shares: FloatArray, d0: float
) -> FloatArray:
    """Logarithms of quantiles of F(df, d0), mixed over the groups' df."""

    def excess(log_f: float, probability: float) -> float:
        return float(np.sum(shares * fdtr(df, d0, np.exp(log_f))) - probability)

    return np.array(
        [float(brentq(excess, -40.0, 20.0, args=(p,), xtol=1e-8)) for p in at]
    )
