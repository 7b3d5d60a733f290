"""The arrays that answers are written into, chunk by chunk."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from results.science.arrays import FloatArray, IntArray
from results.science.dilution import Scheme
from results.science.estimate import FIELLER_FROM, Fields
from results.science.outcome import ANSWER_FIELDS, LINE_FIELDS, Answers, Reason

NUMBERS = (*LINE_FIELDS, *ANSWER_FIELDS)
#: Fields that show it where a number overflowed on the way.
_TELLING = (
    "slope_se",
    "intercept_se",
    "residual_sd",
    "r_squared",
    "molar_absorptivity_se",
    "unknown_mg_L_se",
    "low",
    "high",
    "effective_df",
    "u_calibration",
    "u_reading",
    "quantification_limit_percent",
)
TELLING = tuple(NUMBERS.index(name) for name in _TELLING)
_REASONS = np.array([reason.value for reason in Reason])
CODE = {reason: code for code, reason in enumerate(Reason)}


@dataclass(frozen=True, slots=True)
class Result:
    """The arrays that answers are written into; rows of it are views."""

    numbers: FloatArray
    concentration_mg_L: FloatArray
    standard_absorbance: FloatArray
    unknown_absorbance: FloatArray
    reason: NDArray[np.int8]
    n_standards: IntArray
    n_unknowns: IntArray

    @classmethod
    def empty(cls, scheme: Scheme, groups: int) -> "Result":
        """Make room for so many groups."""
        n, m = len(scheme.standards), len(scheme.unknowns)
        return cls(
            numbers=np.empty((len(NUMBERS), groups)),
            concentration_mg_L=np.empty((groups, n)),
            standard_absorbance=np.empty((groups, n)),
            unknown_absorbance=np.empty((groups, m)),
            reason=np.zeros(groups, dtype=np.int8),
            n_standards=np.empty(groups, dtype=np.int64),
            n_unknowns=np.empty(groups, dtype=np.int64),
        )

    def rows(self, chosen: slice) -> "Result":
        """Hand out some of the rows, to be written into."""
        return Result(
            self.numbers[:, chosen],
            self.concentration_mg_L[chosen],
            self.standard_absorbance[chosen],
            self.unknown_absorbance[chosen],
            self.reason[chosen],
            self.n_standards[chosen],
            self.n_unknowns[chosen],
        )

    def put(self, place: IntArray | slice, found: Fields) -> None:
        """Write the fields of some rows."""
        for values, name in zip(self.numbers, NUMBERS, strict=True):
            if name in found:
                values[place] = found[name]

    def answers(self) -> Answers:
        """Hand out what was written."""
        numbers = dict(zip(NUMBERS, self.numbers, strict=True))
        computed = self.reason == CODE[Reason.COMPUTED]
        return Answers(
            concentration_mg_L=self.concentration_mg_L,
            standard_absorbance=self.standard_absorbance,
            unknown_absorbance=self.unknown_absorbance,
            reason=_REASONS[self.reason],
            n_standards=self.n_standards,
            n_unknowns=self.n_unknowns,
            uses_fieller=computed & (numbers["fieller_g"] > FIELLER_FROM),
            **numbers,
        )
