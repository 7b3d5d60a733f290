"""Turns weighed explanations into findings."""

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from results.science.arrays import FloatArray
from results.science.diagnosis.assumptions import (
    FLAG_BELOW,
    MENTION_ABOVE,
    MOST_FINDINGS,
    NAME_ABOVE,
)
from results.science.diagnosis.catalogue import CODES, members_of
from results.science.diagnosis.context import Context
from results.science.diagnosis.explain import Explanations
from results.science.diagnosis.finding import Finding
from results.science.diagnosis.hypotheses import Hypothesis
from results.science.diagnosis.model import expect
from results.science.diagnosis.record import Record
from results.science.dilution import Scheme

#: Findings that say nothing of a tube's reading.
_WITHOUT_FIGURES = frozenset({"unknown_side", "unexplained"})
_MASS = "nominal_mass"
#: A hypothesis less likely than this adds nothing to its code.
NEGLIGIBLE = 1e-4
#: Slips on the standards' side and of the meter's scale enter as one product: without
#: a reference for the iron content nothing tells them apart.
_ONE_PRODUCT = ("standards_side", "meter_scale")
#: With a single unknown tube its own slips look like those of the whole unknown.
_ONE_TUBE = ("unknown_side", "unknown_tube_off")


def report(
    scheme: Scheme,
    context: Context,
    explained: Explanations,
    *,
    above: float = MENTION_ABOVE,
) -> Iterator[Finding]:
    """Yield the findings of one piece of a batch, likeliest first in each row.

    What nothing in the readings tells apart is one finding, its members named; what
    is less likely than ``above`` is not mentioned.
    """
    labels = scheme.standard_labels + scheme.unknown_labels
    here = context.rows(explained.rows)
    expected = expect(scheme, explained.record, here).mean
    blind = here.is_blind
    present = explained.record.present
    unknowns = present[explained.record.n :].sum(axis=0)
    likely = _likely(explained)
    tubes_read = present.sum(axis=0)
    nothing = explained.probability[0]
    for column, row in enumerate(explained.rows.tolist()):
        merged = [_ONE_PRODUCT] if blind[column] else []
        merged += [_ONE_TUBE] if unknowns[column] < 2 else []
        ranked = _ranked(likely[column], merged)
        if nothing[column] < FLAG_BELOW:
            ranked = _but_for_mass(ranked, float(nothing[column]))
        for code, probability, chosen in ranked:
            if probability < above:
                continue
            tubes = _tubes(chosen)
            if code == "unknown_tube_off" and blind[column] and unknowns[column] == 2:
                # Of two tubes that disagree, nobody can say which one is off.
                tubes = ()
            numbers = {"tubes": float(tubes_read[column])}
            if len(tubes) == 1 and code not in _WITHOUT_FIGURES:
                numbers |= _figures(tubes[0], explained.record, expected, column)
            yield Finding(
                row,
                code,
                ",".join(labels[tube] for tube in tubes),
                min(probability, 1.0),
                numbers,
                _members(chosen),
            )


Chosen = list[tuple[Hypothesis, float]]


def _likely(explained: Explanations) -> list[dict[str, Chosen]]:
    """For each column, the hypotheses that are not negligible, by their code."""
    found: list[dict[str, Chosen]] = [{} for _ in range(len(explained.rows))]
    codes = [CODES.get(one.shape, "") for one in explained.hypotheses]
    columns, places = np.nonzero(explained.probability.T > NEGLIGIBLE)
    weights = explained.probability[places, columns].tolist()
    for column, place, weight in zip(
        columns.tolist(), places.tolist(), weights, strict=True
    ):
        if codes[place]:
            one = (explained.hypotheses[place], weight)
            found[column].setdefault(codes[place], []).append(one)
    return found


def _ranked(found: dict[str, Chosen], merged: list[tuple[str, str]]) -> "Ranked":
    """Rank the likeliest codes, those that cannot be told apart taken as one."""
    for first, second in merged:
        pair = sorted((first, second), key=lambda code: -_sum(found.get(code, [])))
        if pair[0] in found:
            found[pair[0]] = found[pair[0]] + found.pop(pair[1], [])
    sums = [(code, _sum(chosen), chosen) for code, chosen in found.items()]
    return sorted(sums, key=lambda one: -one[1])[:MOST_FINDINGS]


Ranked = list[tuple[str, float, Chosen]]


def _but_for_mass(ranked: Ranked, nothing: float) -> Ranked:
    """Leave only the mass that equals the plan's where nothing else was doubtful.

    Honest masses do equal it now and then: it is to be looked at, and must not make
    anything else out of an ordinary group.
    """
    mass = [one for one in ranked if one[0] == _MASS]
    if nothing + sum(one[1] for one in mass) >= FLAG_BELOW:
        return mass
    return ranked


def _sum(chosen: Chosen) -> float:
    return sum(weight for _, weight in chosen)


def _tubes(chosen: Chosen) -> tuple[int, ...]:
    """Tubes that most of a code's probability lies on; none if it is spread."""
    by_tubes: dict[tuple[int, ...], float] = defaultdict(float)
    for one, weight in chosen:
        by_tubes[one.tubes] += weight
    best = max(by_tubes, key=lambda tubes: by_tubes[tubes], default=())
    total = sum(by_tubes.values())
    return best if total > 0.0 and by_tubes[best] > 0.6 * total else ()


def _members(chosen: Chosen) -> tuple[str, ...]:
    by_shape: dict[str, float] = defaultdict(float)
    for one, weight in chosen:
        by_shape[one.shape] += weight
    total = sum(by_shape.values())
    return members_of({s: w / total for s, w in by_shape.items()}, NAME_ABOVE)


def _figures(
    tube: int, record: Record, expected: FloatArray, column: int
) -> dict[str, float]:
    """Give a tube's own figures, never any that rest on the iron content."""
    if not record.replicates[tube, column] > 0.0:
        return {}
    figures = {"absorbance": float(record.absorbance[tube, column])}
    if tube < record.n:
        figures["expected_absorbance"] = float(expected[tube, column])
    return figures
