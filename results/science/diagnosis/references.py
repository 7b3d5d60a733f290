"""Records looked at under each iron content that their lot may have."""

import numpy as np

from results.science.arrays import FloatArray
from results.science.diagnosis.context import Context
from results.science.diagnosis.record import Record
from results.science.diagnosis.repairs import Version

#: A version of some groups' records and what their class says of those groups.
Reviewed = tuple[Version, Context]


def every_reference(
    context: Context, record: Record, listed: list[Version]
) -> tuple[FloatArray, list[Reviewed]]:
    """Pair every version, and the records as typed, with every reference.

    Parameters
    ----------
    context : Context
        Of N groups.
    record : Record
        As typed, of the same groups.
    listed : list of Version

    Returns
    -------
    log_weight : array (N,)
        Log weight of the first reference, under which the records as typed have been
        looked at already.
    list of pairs of Version and Context
        All that is left to be looked at.
    """
    first = np.log1p(-np.minimum(context.other_weight.sum(axis=1), 1.0 - 1e-12))
    found = [
        (_weighted(version, first[version.origin]), context.rows(version.origin))
        for version in listed
    ]
    nowhere = np.full(len(record), -1)
    for way in range(context.other_weight.shape[1]):
        weight = context.other_weight[:, way]
        rows = np.flatnonzero(weight > 0.0)
        if not len(rows):
            continue
        log_weight = np.log(np.maximum(weight, 1e-300))
        other = context.with_other_iron(way)
        as_typed = Version(rows, record.rows(rows), log_weight[rows], "", nowhere[rows])
        found.append((as_typed, other.rows(rows)))
        for version in listed:
            chosen = np.flatnonzero(weight[version.origin] > 0.0)
            if len(chosen):
                part = version.rows(chosen)
                part = _weighted(part, log_weight[part.origin])
                found.append((part, other.rows(part.origin)))
    return first, found


def _weighted(version: Version, log_weight: FloatArray) -> Version:
    return Version(
        version.origin,
        version.record,
        version.log_weight + log_weight,
        version.shape,
        version.tube,
    )
