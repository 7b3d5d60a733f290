"""The scatter a tube's absorbance is expected to have, from what is declared."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from results.science.arrays import FloatArray, IntArray
from results.science.dilution import Reading, Tube
from results.science.glassware import HANDLING_SD
from results.science.photometry import ABSORBANCE_PER_RELATIVE_T

RELATIVE_T_SQ = float(ABSORBANCE_PER_RELATIVE_T) ** 2
TWO_LN_10 = 2.0 / float(ABSORBANCE_PER_RELATIVE_T)
#: Absorbances between which a scatter is worked out.
METER_RANGE = (-0.5, 4.0)

#: Standard deviation of one delivery in students' hands: mL, and relative.
DELIVERY_SD = HANDLING_SD
#: Relative standard deviation of filling a flask to its mark; judgement.
FLASK_RELATIVE_SD = HANDLING_SD["flask"][1]


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


@dataclass(frozen=True, slots=True)
class Meter:
    """How the readings of many groups scatter, in parts that add up.

    Attributes
    ----------
    light_variance : array (N,)
        The part that is constant in transmittance, %T squared, rounding included.
    absorbance_variance : array (N,)
        The part that is constant in absorbance, rounding included.
    light_relative, absorbance_relative : float
        Standard deviations relative to the transmittance, or the absorbance, read.
    """

    light_variance: FloatArray
    absorbance_variance: FloatArray
    light_relative: float = 0.0
    absorbance_relative: float = 0.0

    def rows(self, chosen: IntArray | slice) -> "Meter":
        """Keep some of the groups, in the order given."""
        return replace(
            self,
            light_variance=self.light_variance[chosen],
            absorbance_variance=self.absorbance_variance[chosen],
        )

    def variance(self, absorbance: FloatArray) -> FloatArray:
        """Variance of one reading, in absorbance, where the absorbance is as given.

        First-order propagation, sd(A) = 0.4343 sd(T) / T, with
        sd(T) squared = s0 squared + (s1 T) squared + step squared / 12.

        Parameters
        ----------
        absorbance : array (..., N)
            Better fitted than observed: observed values correlate with their errors.
            Values beyond any meter are taken as the limits of `METER_RANGE`.
        """
        within = np.clip(absorbance, *METER_RANGE)
        constant = self.absorbance_variance + self.light_relative**2 * RELATIVE_T_SQ
        variance = np.exp(TWO_LN_10 * within) * (
            self.light_variance * (1e-4 * RELATIVE_T_SQ)
        )
        variance += constant
        if self.absorbance_relative:
            variance += (self.absorbance_relative * within) ** 2
        return np.asarray(variance)


def reading_variance(reading: Reading, absorbance: FloatArray) -> FloatArray:
    """Variance of one reading of a scheme's meter, in absorbance.

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
    constant = np.asarray(reading_sd(reading) ** 2)
    none = np.zeros(())
    if reading.scale == "absorbance":
        meter = Meter(none, constant, absorbance_relative=reading.sd_relative)
    else:
        meter = Meter(constant, none, light_relative=reading.sd_relative)
    return meter.variance(np.asarray(absorbance, dtype=np.float64))


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
