"""Marks a diagnosis against the truth."""

import itertools
import time
from collections import Counter
from dataclasses import dataclass

import numpy as np

from results.science.answer import compute_answers
from results.science.diagnosis import (
    CODES,
    care_of,
    class_context,
    explain,
    own_log_absorptivity,
    own_log_iron,
)

CODE_NAMES = ("", *sorted(set(CODES.values())))
BINS = (0.0, 0.6, 0.8, 0.9, 0.97, 0.99, 1.0001)
FEWEST_IN_BIN = 200


@dataclass
class Diagnosed:
    """What the diagnosis says of N groups.

    ``probability`` (codes, N), the first code being "nothing"; ``tube`` the label
    it names for its likeliest code.
    """

    probability: np.ndarray
    tube: list[str]
    seconds: float

    @property
    def order(self):
        """Codes of each group, likeliest first."""
        return np.argsort(-self.probability, axis=0, kind="stable")


def context_of(scheme, readings, station, lot, assigned=None):
    """Rebuild the class's context from what would be stored of each group."""
    answers = compute_answers(scheme, readings)
    staff = {} if assigned is None else {"assigned_log_iron": np.log(assigned)}
    return class_context(
        own_log_absorptivity(scheme, readings, answers),
        station,
        log_iron=own_log_iron(answers),
        lot=lot,
        standard_mass_g=readings.standard_mass_g,
        unknown_mass_g=readings.unknown_mass_g,
        care=care_of(scheme, readings),
        **staff,
    )


def diagnose_all(scheme, readings, context):
    """Probability of every code for every group, clean ones too."""
    started = time.perf_counter()
    pieces = explain(scheme, readings, context, everyone=True)
    seconds = time.perf_counter() - started
    labels = scheme.standard_labels + scheme.unknown_labels
    parts, tubes = [], []
    for piece in pieces:
        code = np.array(
            [CODE_NAMES.index(CODES.get(h.shape, "")) for h in piece.hypotheses]
        )
        sums = np.zeros((len(CODE_NAMES), len(piece.rows)))
        np.add.at(sums, code, piece.probability)
        sums[0] = piece.probability[0]
        parts.append(sums)
        best = np.argmax(sums[1:], axis=0) + 1
        for column in range(len(piece.rows)):
            mine = np.where(code == best[column], piece.probability[:, column], 0.0)
            chosen = piece.hypotheses[int(np.argmax(mine))]
            tubes.append(",".join(labels[k] for k in chosen.tubes))
    return Diagnosed(np.concatenate(parts, axis=1), tubes, seconds)


@dataclass
class Marks:
    """The figures that matter; shares between 0 and 1."""

    false_alarm: float
    false_alarm_but_mass: float
    detected: dict[str, float]
    top1: dict[str, float]
    top3: dict[str, float]
    right_tube: float
    calibration: list[tuple[float, float, int]]
    confusion: dict[str, Counter]
    rate: float
    counts: dict[str, int]

    @property
    def mean_top1(self):
        """Mean over the slips."""
        return float(np.mean(list(self.top1.values())))

    @property
    def mean_top3(self):
        """Mean over the slips."""
        return float(np.mean(list(self.top3.values())))

    @property
    def worst_calibration(self):
        """Largest gap between stated and observed in a bin that is full enough."""
        gaps = [abs(a - b) for a, b, n in self.calibration if n >= FEWEST_IN_BIN]
        return max(gaps, default=0.0)


def mark(diagnosed, names, codes_of, tubes):
    """Mark a diagnosis.

    ``names`` (N,) is each group's slip, "" for none; ``codes_of`` the codes that are
    right for a slip; ``tubes`` the tube concerned.
    """
    names = np.asarray(names, dtype=object)
    order, p = diagnosed.order, diagnosed.probability
    code = np.array(CODE_NAMES, dtype=object)
    top = code[order[0]]
    clean, flagged = names == "", p[0] < 0.5
    best = code[np.argmax(p[1:], axis=0) + 1]
    alarm = flagged & clean
    marks = Marks(
        float(alarm[clean].mean()) if clean.any() else 0.0,
        float((alarm & (best != "nominal_mass"))[clean].mean()) if clean.any() else 0.0,
        {}, {}, {}, 1.0, [], {}, len(names) / max(diagnosed.seconds, 1e-9), {},
    )  # fmt: skip
    right = clean & (top == "")
    right_tube = []
    for name in sorted(set(names) - {""}):
        rows = np.flatnonzero(names == name)
        good = np.isin(code[order[:3][:, rows]], sorted(codes_of(name)))
        right[rows] = good[0]
        marks.counts[name] = len(rows)
        marks.detected[name] = float(flagged[rows].mean())
        marks.top1[name] = float(good[0].mean())
        marks.top3[name] = float(good.any(axis=0).mean())
        marks.confusion[name] = Counter(top[rows][~good[0]].tolist())
        right_tube += [
            diagnosed.tube[row] == tubes[row]
            for row in rows[good[0] & flagged[rows]]
            if tubes[row] and diagnosed.tube[row]
        ]
    marks.right_tube = float(np.mean(right_tube)) if right_tube else 1.0
    stated = np.minimum(p.max(axis=0), 1.0)
    for low, high in itertools.pairwise(BINS):
        inside = (stated >= low) & (stated < high)
        if inside.any():
            marks.calibration.append(
                (
                    float(stated[inside].mean()),
                    float(right[inside].mean()),
                    int(inside.sum()),
                )
            )
    return marks
