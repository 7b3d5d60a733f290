"""What is tried on a batch of records, and how likely it is before looking."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np

from results.science.arrays import FloatArray, IntArray
from results.science.diagnosis.assumptions import RATES, CareLevel
from results.science.diagnosis.context import Context
from results.science.diagnosis.model import Expected, Solved, expect
from results.science.diagnosis.record import Record
from results.science.diagnosis.typed import Meant, meanings
from results.science.dilution import Scheme


@dataclass(frozen=True, slots=True)
class Case:
    """What every shape is tried on: N groups' record and what it should be.

    ``meant``, how typed values may have been meant, is worked out for the groups that
    lie far enough from the model to need it.
    """

    scheme: Scheme
    record: Record
    context: Context
    expected: Expected
    meant: tuple[Meant, ...] = ()

    @property
    def care(self) -> FloatArray:
        """Share of each level of care in each group's class, shape (N, K)."""
        return self.context.care

    def rows(self, chosen: IntArray) -> "Case":
        """Return some of the groups."""
        return Case(
            self.scheme,
            self.record.rows(chosen),
            self.context.rows(chosen),
            self.expected.rows(chosen),
            tuple(one.rows(chosen) for one in self.meant),
        )

    def with_meanings(self) -> "Case":
        """Return the case with all that its typed values may stand for."""
        return replace(self, meant=tuple(meanings(self.scheme, self.record)))


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One slip at one place.

    ``share`` is the part of its shape's rate; the factors say by how much the slip
    multiplies what standards and unknown tubes hold.
    """

    shape: str
    tubes: tuple[int, ...] = ()
    share: float = 1.0
    standard_factor: float = 1.0
    unknown_factor: float = 1.0


Evidence = Callable[[Case, Solved, CareLevel], Iterable[FloatArray]]


@dataclass(frozen=True, slots=True)
class Family:
    """Hypotheses and the function that gives their log evidence, in order.

    Those of a family that ``is_near`` may hold although the readings lie close to
    the model.
    """

    hypotheses: tuple[Hypothesis, ...]
    evidence: Evidence
    is_near: bool = False


def set_up(scheme: Scheme, record: Record, context: Context) -> Case:
    """Work out everything that does not depend on the level of care."""
    expected = expect(scheme, record, context)
    return Case(scheme, record, context, expected)


def log_rate(shape: str) -> float:
    """Log of how likely a shape is before looking, given that there is a slip."""
    return float(np.log(RATES[shape] / sum(RATES.values())))
