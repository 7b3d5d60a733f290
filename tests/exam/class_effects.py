"""Exam of crossed effects: power, false discoveries and variances over many classes."""

from dataclasses import dataclass

import numpy as np

from results.science.effects import Verdict, crossed_effects
from tests.exam.crossed import LOT_SD, SPREAD, Fault, draw_class, limit_finds, nest_lots

#: Faults of the exam: residual sd 0.9 % of log slopes, 1.0 % of log recoveries.
CASES = {
    "no fault": (None, 0.009, {}),
    "station +3 %": (Fault("station", 0.03), 0.009, {}),
    "lot +2 %": (Fault("lot", 0.02), 0.010, {}),
    "section -3 %": (Fault("section", -0.03), 0.009, {}),
    "section x 2": (Fault("section", np.log(2.0)), 0.009, {}),
    "lot +10 %": (Fault("lot", np.log(1.1)), 0.010, {}),
    "station x 1.3": (Fault("station", np.log(1.3)), 0.009, {}),
    "four stations +3 %": (Fault("station", 0.03, 4), 0.009, {}),
    "station +2 %": (Fault("station", 0.02), 0.009, {}),
    "lot +1 %": (Fault("lot", 0.01), 0.010, {}),
    "section -1.5 %": (Fault("section", -0.015), 0.009, {}),
    "20 % blunders": (Fault("section", -0.03), 0.009, {"blunders": 0.2}),
    "30 % blunders": (Fault("section", -0.03), 0.009, {"blunders": 0.3}),
    "lot +2 %, nested": (Fault("lot", 0.02), 0.010, {"relabel": nest_lots}),
}


@dataclass
class Marks:
    """Shares, 0 to 1, over all classes of a case.

    ``found`` and ``limit`` are shares of the faulty levels found, by the robust model
    and by who knows the variances and the blunders; ``fdr`` is the mean share of false
    ones among the levels claimed, by factor; with no fault that is the share of
    classes in which any level was claimed.
    """

    classes: int
    found: float
    limit: float
    fdr: dict
    limit_fdr: dict
    sigma: float
    spread: dict


def claims(drawn):
    """Return the effects of a class, and by factor the levels said to differ."""
    fitted = crossed_effects(drawn.y, drawn.labels, declared_sd={"lot": LOT_SD})
    return fitted, {
        name: {one.level for one in among.levels if one.verdict is Verdict.DIFFERS}
        for name, among in fitted.factors.items()
    }


def examine(name, classes, *, first_seed=0):
    """Examine one case over many classes."""
    fault, sigma, how = CASES[name]
    found, limit = [], []
    false = {factor: [] for factor in SPREAD}
    limit_false = {factor: [] for factor in SPREAD}
    scales = []
    for seed in range(first_seed, first_seed + classes):
        rng = np.random.default_rng([len(name), seed])
        drawn = draw_class(rng, fault=fault, sigma=sigma, **how)
        fitted, claimed = claims(drawn)
        known = limit_finds(drawn)
        for factor, faulty in drawn.faulty.items():
            found += [level in claimed[factor] for level in faulty]
            limit += [level in known[factor] for level in faulty]
            false[factor].append(_false_share(claimed[factor], faulty))
            limit_false[factor].append(_false_share(known[factor], faulty))
        spreads = [fitted.factors[factor].spread for factor in SPREAD]
        scales.append([fitted.sigma, *spreads])
    scale = np.sqrt(np.mean(np.square(scales), axis=0)).tolist()
    return Marks(
        classes=classes,
        found=float(np.mean(found)) if found else float("nan"),
        limit=float(np.mean(limit)) if limit else float("nan"),
        fdr={factor: float(np.mean(shares)) for factor, shares in false.items()},
        limit_fdr={f: float(np.mean(shares)) for f, shares in limit_false.items()},
        sigma=scale[0],
        spread=dict(zip(SPREAD, scale[1:], strict=True)),
    )


def _false_share(claimed, faulty):
    return len(claimed - faulty) / max(len(claimed), 1)


def report(classes=200):
    """Yield the lines of the whole exam."""
    yield (
        f"{classes} classes a case: 30 sections of 12 groups, 40 stations, 6 lots; "
        f"10 % blunders unless told. Limit: variances and blunders known."
    )
    for name in CASES:
        marks = examine(name, classes)
        shares = "  ".join(
            f"{factor} {100 * share:4.1f} ({100 * marks.limit_fdr[factor]:.1f})"
            for factor, share in marks.fdr.items()
        )
        spreads = ", ".join(f"{f} {100 * sd:.2f}" for f, sd in marks.spread.items())
        yield (
            f"  {name:20s} found {100 * marks.found:5.1f} % "
            f"(limit {100 * marks.limit:5.1f})  false % (limit): {shares}  "
            f"sd %: within {100 * marks.sigma:.2f}, {spreads}"
        )
