"""The scatter a tube's absorbance is expected to have, from what is declared."""

from collections.abc import Sequence

import numpy as np

from results.science.arrays import FloatArray
from results.science.dilution import Reading, Tube
from results.science.photometry import ABSORBANCE_PER_RELATIVE_T

#: Standard deviation of one delivery in students' hands: an absolute part in mL and
#: a part relative to the volume.  Judgement, from student pipette calibrations (sd
#: 0.05 to 0.11 mL at 10 mL) and two burette readings of 0.05 mL each; the glass
#: itself (ISO 648, ISO 385, ISO 835, ISO 8655-2) is better than the hand.
DELIVERY_SD = {
    "pipette": (0.0, 0.006),
    "graduated pipette": (0.01, 0.010),
    "piston pipette": (0.0, 0.008),
    "burette": (0.07, 0.0),
    "cylinder": (0.0, 0.02),
}
#: Relative standard deviation of filling a flask to its mark; judgement.
FLASK_RELATIVE_SD = 0.003


def reading_sd(reading: Reading) -> float:
    """Give the declared scatter of one reading, its rounding included.

    In units of the scale; a reading rounded to steps of q has the variance q²/12
    more (rectangular distribution, JCGM 100:2008, 4.3.7).

    Examples
    --------
    >>> round(reading_sd(Reading("percent_T", step=0.5, sd=0.3)), 4)
    0.3329
    """
    return float(np.sqrt(reading.sd**2 + reading.step**2 / 12.0))


def reading_variance(reading: Reading, absorbance: FloatArray) -> FloatArray:
    """Variance of one reading, in absorbance, where the absorbance is as given.

    Parameters
    ----------
    reading : Reading
    absorbance : array
        Better fitted than observed: observed values correlate with their errors.

    Examples
    --------
    >>> reading = Reading("percent_T", step=0.0, sd=0.5)
    >>> float(np.sqrt(reading_variance(reading, np.array(0.301))).round(4))
    0.0043
    """
    if reading.scale == "absorbance":
        return np.full(np.shape(absorbance), reading_sd(reading) ** 2)
    percent_T = 100.0 * 10.0 ** -np.asarray(absorbance)
    return np.asarray(
        (ABSORBANCE_PER_RELATIVE_T * reading_sd(reading) / percent_T) ** 2
    )


def delivery_relative_variance(tubes: Sequence[Tube]) -> FloatArray:
    """Relative variance of each tube's concentration from filling the tube alone.

    Returns
    -------
    array (k,)
        For k tubes; zero for a tube that nothing is taken into.

    Examples
    --------
    >>> tube = Tube("1", take_mL=10.0, make_up_mL=100.0, delivery="pipette")
    >>> float(np.sqrt(delivery_relative_variance([tube]))[0].round(4))
    0.0067
    """
    return np.array([_relative_variance(tube) for tube in tubes])


def _relative_variance(tube: Tube) -> float:
    if tube.take_mL <= 0.0:
        return 0.0
    absolute_mL, relative = DELIVERY_SD[tube.delivery]
    delivered = (absolute_mL / tube.take_mL) ** 2 + relative**2
    return float(delivered + FLASK_RELATIVE_SD**2)
