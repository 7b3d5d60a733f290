"""Turns weighed explanations into findings."""

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from results.science.arrays import FloatArray
from results.science.diagnosis.assumptions import (
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
from results.science.dilution import Scheme

#: A hypothesis less likely than this adds nothing to its code.
NEGLIGIBLE = 1e-4
#: Slips on the standards' side and of the meter's scale enter as one product: without
#: a reference for the iron content nothing tells them apart.
_ONE_PRODUCT = ("standards_side", "meter_scale")
#: With a single unknown tube its own slips look like those of the whole unknown.
_ONE_TUBE = ("unknown_side", "unknown_tube_off")


def report(
    scheme: Scheme, context: Context, explained: Explanations
) -> Iterator[Finding]:
    """Yield the findings of one piece of a batch, likeliest first in each row."""
    labels = scheme.standard_labels + scheme.unknown_labels
    here = context.rows(explained.rows)
    expected = expect(scheme, explained.record, here).mean
    blind = ~np.isfinite(here.log_iron)
    unknowns = explained.record.present[explained.record.n :].sum(axis=0)
    for column, row in enumerate(explained.rows.tolist()):
        merged = [_ONE_PRODUCT] if blind[column] else []
        merged += [_ONE_TUBE] if unknowns[column] < 2 else []
        ranked = _ranked(explained.hypotheses, explained.probability[:, column], merged)
        for code, probability, places in ranked[:MOST_FINDINGS]:
            if probability < MENTION_ABOVE:
                continue
            chosen = [(explained.hypotheses[k], w) for k, w in places]
            tubes = _tubes(chosen)
            if code == "unknown_tube_off" and blind[column] and unknowns[column] == 2:
                # Of two tubes that disagree, nobody can say which one is off.
                tubes = ()
            yield Finding(
                row,
                code,
                _label(labels, tubes),
                min(probability, 1.0),
                _numbers(code, tubes, explained, expected, column),
                _members(chosen),
            )


Places = list[tuple[int, float]]


def _ranked(
    hypotheses: tuple[Hypothesis, ...],
    probability: FloatArray,
    merged: list[tuple[str, str]],
) -> list[tuple[str, float, Places]]:
    found: dict[str, Places] = defaultdict(list)
    for place in np.flatnonzero(probability > NEGLIGIBLE).tolist():
        shape = hypotheses[place].shape
        if shape in CODES:
            found[CODES[shape]].append((place, float(probability[place])))
    for first, second in merged:
        pair = sorted((first, second), key=lambda code: -_sum(found.get(code, [])))
        if pair[0] in found:
            found[pair[0]] = found[pair[0]] + found.pop(pair[1], [])
    ranked = [(code, _sum(places), places) for code, places in found.items()]
    return sorted(ranked, key=lambda one: -one[1])


def _sum(places: Places) -> float:
    return sum(weight for _, weight in places)


def _tubes(chosen: list[tuple[Hypothesis, float]]) -> tuple[int, ...]:
    """Tubes that most of a code's probability lies on; none if it is spread."""
    by_tubes: dict[tuple[int, ...], float] = defaultdict(float)
    for one, weight in chosen:
        by_tubes[one.tubes] += weight
    best = max(by_tubes, key=lambda tubes: by_tubes[tubes], default=())
    total = sum(by_tubes.values())
    return best if total > 0.0 and by_tubes[best] > 0.6 * total else ()


def _label(labels: tuple[str, ...], tubes: tuple[int, ...]) -> str:
    return ",".join(labels[tube] for tube in tubes)


def _members(chosen: list[tuple[Hypothesis, float]]) -> tuple[str, ...]:
    by_shape: dict[str, float] = defaultdict(float)
    for one, weight in chosen:
        by_shape[one.shape] += weight
    total = sum(by_shape.values())
    return members_of({s: w / total for s, w in by_shape.items()}, NAME_ABOVE)


def _numbers(
    code: str,
    tubes: tuple[int, ...],
    explained: Explanations,
    expected: FloatArray,
    column: int,
) -> dict[str, float]:
    """Give the figures behind a finding: a group's own, never the iron content."""
    record = explained.record
    present = record.present[:, column]
    numbers = {"tubes": float(present.sum())}
    if code in {"unknown_side", "unexplained"}:
        return numbers
    if len(tubes) == 1 and present[tubes[0]]:
        numbers["absorbance"] = float(record.absorbance[tubes[0], column])
        if tubes[0] < record.n:
            numbers["expected_absorbance"] = float(expected[tubes[0], column])
    return numbers
