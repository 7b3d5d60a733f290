"""Effects pulled in before they tell a spread: how far, and what that costs."""

from dataclasses import dataclass

from scipy.stats import norm


@dataclass(frozen=True, slots=True)
class Cut:
    """Standard normal deviates z pulled in to z' = max(-at, min(z, at)).

    Attributes
    ----------
    at : float
    mean_square : float
        Mean of z'².
    efficiency : float
        Of the scale that makes the mean of z'² what it should be, against the usual
        standard deviation: one over the ratio of their asymptotic variances.
    """

    at: float
    mean_square: float
    efficiency: float


def cut_at(at: float) -> Cut:
    """Return the moments of normal deviates pulled in.

    The scale s that solves mean((x / s)'²) = E z'² is an M-estimate; the variance of
    its logarithm is Var(z'²) / (2 E[z²; |z| < at])² / n, that of the logarithm of the
    usual standard deviation 1 / (2 n) (P. J. Huber, Robust Statistics, 1981,
    sections 5.2 and 6.4).

    Examples
    --------
    >>> round(cut_at(1.5).efficiency, 2), round(cut_at(2.5).efficiency, 2)
    (0.73, 0.96)
    """
    within = 2.0 * float(norm.cdf(at)) - 1.0
    density, beyond = float(norm.pdf(at)), 2.0 * float(norm.sf(at))
    square_within = within - 2.0 * at * density
    fourth_within = 3.0 * within - 2.0 * at * (at**2 + 3.0) * density
    mean_square = square_within + at**2 * beyond
    variance = fourth_within + at**4 * beyond - mean_square**2
    return Cut(at, mean_square, 2.0 * square_within**2 / variance)


#: While faults may still be among the levels.
CLOSE = cut_at(1.5)
#: Once what stands out has been freed: nearly all that the others tell is used, as
#: in V. J. Yohai's second step (Ann. Statist. 15, 1987, 642).
LOOSE = cut_at(2.5)
