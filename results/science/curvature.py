"""How much each group's line bends: what stray light at a station would do."""

import numpy as np

from results.science.arrays import FloatArray

#: Standard deviation of the reagent blank's absorbance, which the meter was set to
#: zero with; it counts as one more point at the origin.
BLANK_SD = 0.0018
#: Of one tube: delivery and filling, and the meter in transmittance; judgement.
TUBE_SD, METER_SD = 0.003, 0.003
#: Fewer standards than this bend any way they like.
FEWEST_STANDARDS = 4
_LN_10 = float(np.log(10.0))


def curvature_z(mg_L: FloatArray, absorbance: FloatArray) -> FloatArray:
    """Quadratic term of each group's line, over its standard error.

    Weighted least squares of absorbance on 1, x and x² through the standards and the
    blank.  The errors are declared, not the group's own: with four or five standards
    those say nothing; what the class scatters is left to who compares them.

    Parameters
    ----------
    mg_L, absorbance : array (N, P)
        Standards; NaN where there is none.

    Returns
    -------
    array (N,)
        Below zero where the line flattens; NaN for fewer than four standards, or
        concentrations that are not distinct.

    Examples
    --------
    >>> x = np.array([[1.0, 2.0, 3.0, 4.0]])
    >>> bool(abs(curvature_z(x, 0.2 * x)[0]) < 1e-6)
    True
    >>> bool(curvature_z(x, 0.2 * x - 0.01 * x**2)[0] < -3)
    True
    """
    present = np.isfinite(mg_L) & np.isfinite(absorbance)
    with np.errstate(all="ignore"):
        top = np.nanmax(np.where(present, mg_L, 0.0), axis=1, initial=0.0)
        scaled = np.where(present, mg_L / top[:, None], 0.0)
    y = np.where(present, absorbance, 0.0)
    meter = METER_SD * np.power(10.0, np.clip(y, -1.0, 3.0)) / _LN_10
    weight = np.where(present, 1.0 / (TUBE_SD**2 + meter**2), 0.0)
    ones = np.ones((len(y), 1))
    weight = np.hstack([weight, ones / BLANK_SD**2])
    scaled, y = np.hstack([scaled, 0.0 * ones]), np.hstack([y, 0.0 * ones])
    design = np.stack([np.ones_like(scaled), scaled, scaled**2], axis=-1)
    usable = (present.sum(axis=1) >= FEWEST_STANDARDS) & (top > 0.0)
    z = np.full(len(y), np.nan)
    if np.any(usable):
        z[usable] = _last_over_its_error(design[usable], weight[usable], y[usable])
    return z


def _last_over_its_error(
    design: FloatArray, weight: FloatArray, y: FloatArray
) -> FloatArray:
    weighted = design * weight[..., None]
    normal = np.swapaxes(design, 1, 2) @ weighted
    solvable = np.linalg.cond(normal) < 1e12
    z = np.full(len(y), np.nan)
    inverse = np.linalg.inv(normal[solvable])
    moment = np.einsum("npk,np->nk", weighted[solvable], y[solvable])
    last = np.einsum("nk,nk->n", inverse[:, 2, :], moment)
    z[solvable] = last / np.sqrt(inverse[:, 2, 2])
    return z
