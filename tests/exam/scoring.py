"""Marks a diagnosis against the truth."""

import itertools
import time
from collections import Counter
from dataclasses import dataclass

import numpy as np

from results.science.answer import compute_answers
from results.science.diagnosis import (
    CODES,
    Finding,
    care_of,
    class_context,
    deed,
    explain,
    no_context,
    own_log_absorptivity,
    own_log_iron,
    told_the_answer,
)
from results.science.diagnosis.assumptions import FLAG_BELOW
from results.science.diagnosis.report import report

BINS = (0.0, 0.6, 0.8, 0.9, 0.97, 0.99, 1.0001)
FEWEST_IN_BIN = 200
# Relative standard uncertainty with which a lot is assigned its value.
ASSIGNED_SD = 0.003
NOTHING, MASS = "", "nominal_mass"


@dataclass
class Diagnosed:
    """What is said of N groups: how likely nothing is, and what is printed."""

    nothing: np.ndarray
    printed: list[list[Finding]]
    seconds: float

    def rows(self, chosen):
        """Return what is said of some of the groups."""
        printed = [self.printed[row] for row in chosen]
        return Diagnosed(self.nothing[chosen], printed, self.seconds)

    @property
    def flagged(self):
        """Mark the groups (N,) that are shown a finding."""
        return self.nothing < FLAG_BELOW

    @property
    def alarmed(self):
        """Mark the groups that are shown more than "please check the mass"."""
        more = [any(one.code != MASS for one in found) for found in self.printed]
        return self.flagged & np.array(more, dtype=bool)

    def ranking(self, row):
        """Codes that each answer stands for and its probability, as a page has it."""
        found = [(_codes(one), one.probability) for one in self.printed[row]]
        nothing = [({NOTHING}, float(self.nothing[row]))]
        return found + nothing if self.flagged[row] else nothing + found


def _codes(finding):
    """Codes of all that a finding names: its own and those of its members."""
    return {finding.code, *(CODES[deed(name).shape] for name in finding.members)}


def context_of(scheme, readings, station, lot, assigned=None):
    """Rebuild the class's context from what would be stored of each group."""
    answers = compute_answers(scheme, readings)
    context = class_context(
        own_log_absorptivity(scheme, readings, answers),
        station,
        log_iron=own_log_iron(answers),
        lot=lot,
        standard_mass_g=readings.standard_mass_g,
        unknown_mass_g=readings.unknown_mass_g,
        care=care_of(scheme, readings),
    )
    if assigned is None:
        return context
    return told_the_answer(
        context, np.log(assigned), np.full(len(assigned), ASSIGNED_SD)
    )


def diagnose_all(scheme, readings, context):
    """Diagnose every group, clean ones too."""
    known = no_context(len(readings.standard_mass_g)) if context is None else context
    started = time.perf_counter()
    pieces = explain(scheme, readings, known, everyone=True)
    seconds = time.perf_counter() - started
    printed = [[] for _ in readings.standard_mass_g]
    for piece in pieces:
        for finding in report(scheme, known, piece, above=0.0):
            printed[finding.row].append(finding)
    nothing = np.concatenate([piece.probability[0] for piece in pieces])
    return Diagnosed(nothing, printed, seconds)


@dataclass
class Marks:
    """The figures that matter; shares between 0 and 1.

    ``unseen`` are slips that nothing can show without a class; they count among the
    groups whose stated probability must come true.
    """

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
    unseen: frozenset[str] = frozenset()

    @property
    def mean_top1(self):
        """Mean over the slips that can be seen at all."""
        return self._mean(self.top1)

    @property
    def mean_top3(self):
        """Mean over the slips that can be seen at all."""
        return self._mean(self.top3)

    def _mean(self, share):
        return float(np.mean([v for k, v in share.items() if k not in self.unseen]))

    @property
    def worst_calibration(self):
        """Largest gap between stated and observed in a bin that is full enough."""
        gaps = [abs(a - b) for a, b, n in self.calibration if n >= FEWEST_IN_BIN]
        return max(gaps, default=0.0)


def mark(diagnosed, names, codes_of, tubes):
    """Mark a diagnosis by what people are shown.

    ``names`` (N,) is each group's slip, "" for none; ``codes_of`` the codes that are
    right for a slip; ``tubes`` the tube concerned.  A finding is right if the slip is
    one of its members, and its probability is the one that is printed.
    """
    names = np.asarray(names, dtype=object)
    clean, flagged = names == "", diagnosed.flagged
    marks = Marks(
        float(flagged[clean].mean()) if clean.any() else 0.0,
        float(diagnosed.alarmed[clean].mean()) if clean.any() else 0.0,
        {}, {}, {}, 1.0, [], {}, len(names) / max(diagnosed.seconds, 1e-9), {},
    )  # fmt: skip
    right_codes = {name: codes_of(name) for name in set(names) - {""}} | {"": {NOTHING}}
    rankings = [diagnosed.ranking(row) for row in range(len(names))]
    good = np.zeros((3, len(names)), dtype=bool)
    for row, ranking in enumerate(rankings):
        for place, (codes, _) in enumerate(ranking[:3]):
            good[place, row] = bool(codes & right_codes[names[row]])
    for name in sorted(set(names) - {""}):
        rows = np.flatnonzero(names == name)
        marks.counts[name] = len(rows)
        marks.detected[name] = float(flagged[rows].mean())
        marks.top1[name] = float(good[0, rows].mean())
        marks.top3[name] = float(good[:, rows].any(axis=0).mean())
        marks.confusion[name] = Counter(
            diagnosed.printed[row][0].code if flagged[row] else NOTHING
            for row in rows[~good[0, rows]]
        )
    marks.right_tube = _right_tube(diagnosed, np.flatnonzero(good[0] & flagged), tubes)
    stated = np.array([min(ranking[0][1], 1.0) for ranking in rankings])
    for low, high in itertools.pairwise(BINS):
        inside = (stated >= low) & (stated < high)
        if inside.any():
            means = float(stated[inside].mean()), float(good[0, inside].mean())
            marks.calibration.append((*means, int(inside.sum())))
    return marks


def _right_tube(diagnosed, rows, tubes):
    """Share of right findings of one tube that name the right one."""
    named = [(diagnosed.printed[row][0].tube, tubes[row]) for row in rows]
    right = [said == meant for said, meant in named if said and meant]
    return float(np.mean(right)) if right else 1.0
