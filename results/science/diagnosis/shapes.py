"""The shapes a slip can have in the readings, each with its evidence.

A shape is what readings can tell apart; several deeds may have one shape.
"""

from results.science.diagnosis.hypotheses import Family
from results.science.diagnosis.record import Record
from results.science.diagnosis.side_shapes import sides, whole
from results.science.diagnosis.tube_shapes import one_tube, shifted, swaps
from results.science.diagnosis.typed_shapes import masses, typed, typed_volumes
from results.science.dilution import Scheme


def families(scheme: Scheme, record: Record) -> list[Family]:
    """List every shape that a scheme's groups can show."""
    n, m = len(scheme.standards), len(scheme.unknowns)
    return [
        *one_tube(n, m),
        *typed(record),
        swaps(n, m),
        shifted(n),
        *sides(scheme),
        masses(),
        typed_volumes(n),
        whole(),
    ]
