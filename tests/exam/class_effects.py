"""Exam of crossed effects: power, false discoveries and variances over many classes."""

from dataclasses import dataclass

import numpy as np

from results.science.effects import Verdict, crossed_effects
from tests.exam.crossed import LOT_SD, SPREAD, Fault, draw_class, nest_lots
from tests.exam.limits import limit_finds, untold_finds

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


#: Where the classes of the exam begin; no figure of the model was chosen on them.
EXAM_SEED = 914_003
#: Standard errors to the upper bound of a share, 95 %, one-sided.
ONE_SIDED = 1.645


@dataclass
class Marks:
    """Shares, 0 to 1, over all classes of a case.

    ``found``, ``untold`` and ``limit`` are shares of the faulty levels found: by the
    robust model, by who knows all but the spreads, and by who knows the spreads, too.
    ``fdr`` is the mean share of false ones among the levels claimed, by factor; with
    no fault that is the share of classes in which any level was claimed.  ``bound`` is
    its upper 95 % bound, ``error`` the standard error of ``found`` and ``short`` that
    of ``limit - found``.
    """

    classes: int
    found: float
    untold: float
    limit: float
    error: float
    short: float
    fdr: dict
    bound: dict
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


def examine(name, classes, *, seed=EXAM_SEED):
    """Examine one case over many classes."""
    fault, sigma, how = CASES[name]
    found, scales = [], []
    false = {factor: [] for factor in SPREAD}
    limit_false = {factor: [] for factor in SPREAD}
    for number in range(classes):
        rng = np.random.default_rng([seed, list(CASES).index(name), number])
        drawn = draw_class(rng, fault=fault, sigma=sigma, **how)
        fitted, claimed = claims(drawn)
        known = limit_finds(drawn)
        for factor, faulty in drawn.faulty.items():
            if faulty:
                who = claimed, untold_finds(drawn), known
                found.append([len(one[factor] & faulty) / len(faulty) for one in who])
            false[factor].append(_false_share(claimed[factor], faulty))
            limit_false[factor].append(_false_share(known[factor], faulty))
        spreads = [fitted.factors[factor].spread for factor in SPREAD]
        scales.append([fitted.sigma, *spreads])
    ours, untold, limit = np.array(found or [[np.nan] * 3]).T
    scale = np.sqrt(np.mean(np.square(scales), axis=0)).tolist()
    return Marks(
        classes=classes,
        found=float(np.mean(ours)),
        untold=float(np.mean(untold)),
        limit=float(np.mean(limit)),
        error=_error(ours),
        short=_error(limit - ours),
        fdr={factor: float(np.mean(shares)) for factor, shares in false.items()},
        bound={
            factor: float(np.mean(shares)) + ONE_SIDED * _error(shares)
            for factor, shares in false.items()
        },
        limit_fdr={f: float(np.mean(shares)) for f, shares in limit_false.items()},
        sigma=scale[0],
        spread=dict(zip(SPREAD, scale[1:], strict=True)),
    )


def _error(shares):
    return float(np.std(shares) / np.sqrt(len(shares)))


def _false_share(claimed, faulty):
    return len(claimed - faulty) / max(len(claimed), 1)


def report(classes=600):
    """Yield the lines of the whole exam."""
    yield (
        f"{classes} classes a case: 30 sections of 12 groups, 40 stations, 6 lots; "
        "10 % blunders unless told. Found: +- standard error. Limit: variances and "
        "blunders known. Untold: all known but how much levels usually differ. False: "
        "share of claims, <= its 95 % bound, (the limit's)."
    )
    for name in CASES:
        yield line(name, examine(name, classes))


def line(name, marks):
    """Lay out the marks of a case: power beside its limits, false claims by factor."""
    power = "no fault to find".ljust(62)
    if CASES[name][0]:
        power = (
            f"found {100 * marks.found:5.1f} +- {100 * marks.error:3.1f} % "
            f"(untold {100 * marks.untold:5.1f}, limit {100 * marks.limit:5.1f}, "
            f"short {100 * (marks.limit - marks.found):4.1f} "
            f"+- {100 * marks.short:3.1f})"
        )
    shares = "  ".join(
        f"{factor} {100 * share:4.1f} <= {100 * marks.bound[factor]:4.1f} "
        f"({100 * marks.limit_fdr[factor]:.1f})"
        for factor, share in marks.fdr.items()
    )
    spreads = ", ".join(f"{f} {100 * sd:.2f}" for f, sd in marks.spread.items())
    return (
        f"  {name:20s} {power}  false %: {shares}  "
        f"sd %: within {100 * marks.sigma:.2f}, {spreads}"
    )
