"""How well each slip, or pair of slips, reproduces the digits a group reported."""

from dataclasses import dataclass, fields

import numpy as np

from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.worked.reported import Digits
from results.science.worked.working import Library, Workings

#: Chance that a number is miscopied although everything else was done as supposed.
MISCOPIED = 1e-3
#: What cannot be foreseen lies anywhere within six decades, by its logarithm.
LOG_RANGE = 13.8
INTERCEPT_RANGE = 0.5
#: Chance that the next step starts from the number written down, not the full one.
FROM_WRITTEN = 0.5


@dataclass(frozen=True, slots=True)
class Paths:
    """T ways through the working: a slip index for each of three stages.

    The last index of a stage stands for "something unknown".
    """

    line: IntArray
    unknown: IntArray
    back: IntArray
    second_back: IntArray
    log_prior: FloatArray

    def __len__(self) -> int:
        return len(self.line)

    def rows(self, chosen: IntArray) -> "Paths":
        """Return some of the paths."""
        return Paths(*(getattr(self, one.name)[chosen] for one in fields(self)))


def likelihood(
    workings: Workings,
    reported: dict[str, Digits],
    paths: Paths,
    slips: Library,
    floor: FloatArray,
) -> FloatArray:
    """Chance of the reported digits under each path, shape (T, N).

    Zero for a path whose first two numbers alone leave it less than ``floor`` (N,),
    its prior chance included.
    """
    lines, reads = len(slips.line), len(slips.unknown)
    slope, intercept = reported["slope"], reported["intercept"]
    per_line = _close(workings.slope, slope)
    per_line *= _close_intercept(workings.intercept, intercept)
    unforeseen = _unforeseen(slope) * _unforeseen_intercept(intercept)
    per_line = np.concatenate([per_line, unforeseen[None]])
    # Many paths share the way to the concentration.
    joint = paths.line * (reads + 1) + paths.unknown
    ways, way = np.unique(joint, return_inverse=True)
    a, b = ways // (reads + 1), ways % (reads + 1)
    chance, whole = _concentration(workings, reported, (a, b), (lines, reads))
    chance *= per_line[a]
    log_floor = np.log(floor) - paths.log_prior[:, None]
    path, row = np.nonzero(np.log(chance)[way] >= log_floor)
    found = np.zeros((len(paths), len(floor)))
    back = paths.back[path], paths.second_back[path]
    found[path, row] = chance[way[path], row] * _way_back(
        workings, reported, back, (whole[way[path], row], len(slips.back), row)
    )
    return found


def _concentration(
    workings: Workings,
    reported: dict[str, Digits],
    ways: tuple[IntArray, IntArray],
    counts: tuple[int, int],
) -> tuple[FloatArray, FloatArray]:
    """Chance of the concentration by each way, and the concentration in full."""
    a_known, b_known = ways[0] < counts[0], ways[1] < counts[1]
    a, b = np.where(a_known, ways[0], 0), np.where(b_known, ways[1], 0)
    known = (a_known & b_known)[:, None]
    sign, backwards = workings.sign[a, b][:, None], workings.backwards[a, b][:, None]
    signal = workings.signals[workings.kind[a, b]]
    read = (signal, sign, backwards > 0.0)
    full = _read_off(workings.slope[a], workings.intercept[a], read)
    slope, intercept = reported["slope"], reported["intercept"]
    written = _read_off(slope.value, intercept.value, read)
    slack = np.where(
        backwards > 0.0,
        np.abs(slope.half * signal) + intercept.half,
        (np.abs(written) * slope.half + intercept.half * np.abs(sign))
        / np.abs(slope.value),
    )
    here = reported["unknown_mg_L"]
    exact = _hit(np.where(known, full, np.nan), here, np.zeros(()))
    mixed = _mix(exact, _hit(written, here, slack), here)
    chance = np.where(b_known[:, None], mixed, _unforeseen(here))
    return chance, np.where(known, full, np.nan)


def _read_off(
    slope: FloatArray,
    intercept: FloatArray,
    read: tuple[FloatArray, FloatArray, BoolArray],
) -> FloatArray:
    signal, sign, backwards = read
    signed = sign * intercept
    return np.where(backwards, slope * signal + signed, (signal - signed) / slope)


def _way_back(
    workings: Workings,
    reported: dict[str, Digits],
    back: tuple[IntArray, IntArray],
    rest: tuple[FloatArray, int, IntArray],
) -> FloatArray:
    """Chance of the mass in the flask and of the content, shape (K,).

    ``back`` holds the slips on the way, ``rest`` the concentration in full, how many
    slips there are, and the group that each is about.
    """
    whole, count, row = rest
    c, d = np.minimum(back[0], count - 1), back[1]
    known = back[0] < count
    factor = workings.factor[c, row]
    factor = factor * (workings.factor[d, row] / workings.factor[0, row])
    solid = workings.solid[c, row]
    solid = solid * (workings.solid[d, row] / workings.solid[0, row])
    from_mg_L, mass = reported["unknown_mg_L"].rows(row), reported["iron_mg"].rows(row)
    content = reported["iron_percent"].rows(row)
    in_flask = whole * factor
    told = from_mg_L.value * factor
    slack = from_mg_L.half * np.abs(factor)
    has_mass = np.isfinite(mass.value)
    chance: FloatArray = np.ones(())
    if has_mass.any():
        chance = _two_ways(in_flask, told, slack, mass)
        chance = np.where(known, chance, _unforeseen(mass))
    start = np.where(has_mass, mass.value, told)
    slack = np.where(has_mass, mass.half, slack)
    at_last = _two_ways(in_flask * solid, start * solid, slack * np.abs(solid), content)
    # With the mass reported, what is unknown may have happened before it.
    later = np.where(known | has_mass, at_last, _unforeseen(content))
    return np.asarray(chance * later)


def _two_ways(
    full: FloatArray, written: FloatArray, slack: FloatArray, here: Digits
) -> FloatArray:
    exact = np.where(np.isfinite(full), _hit(full, here, np.zeros(())), np.nan)
    return _mix(exact, _hit(written, here, slack), here)


def _mix(exact: FloatArray, wide: FloatArray, here: Digits) -> FloatArray:
    """Chance of a number reached either from full or from written ones."""
    no_exact, no_wide = np.isnan(exact), np.isnan(wide)
    hit = (1.0 - FROM_WRITTEN) * exact + FROM_WRITTEN * wide
    hit = np.where(no_wide, exact, np.where(no_exact, wide, hit))
    unforeseen = _unforeseen(here)
    chance = (1.0 - MISCOPIED) * hit + MISCOPIED * unforeseen
    # What nothing leads to cannot be foreseen.
    chance = np.where(np.isnan(hit), unforeseen, chance)
    return np.where(np.isnan(here.value), 1.0, chance)


def _hit(predicted: FloatArray, here: Digits, slack: FloatArray) -> FloatArray:
    """Share of the predicted range that rounds to the reported digits."""
    with np.errstate(all="ignore"):
        room = here.half + slack
        near = np.abs(predicted - here.value) <= room * (1 + 1e-9) + 1e-12
        hit = np.where(near, here.half / room, 0.0)
    return np.where(np.isfinite(predicted), hit, np.nan)


def _close(predicted: FloatArray, here: Digits) -> FloatArray:
    none = np.full(np.shape(predicted), np.nan)
    return _mix(_hit(predicted, here, np.zeros(())), none, here)


def _close_intercept(predicted: FloatArray, here: Digits) -> FloatArray:
    hit = _hit(predicted, here, np.zeros(()))
    chance = (1.0 - MISCOPIED) * hit + MISCOPIED * _unforeseen_intercept(here)
    chance = np.where(np.isnan(hit), _unforeseen_intercept(here), chance)
    return np.where(np.isnan(here.value), 1.0, chance)


def _unforeseen(here: Digits) -> FloatArray:
    with np.errstate(all="ignore"):
        chance = 2.0 * here.half / np.abs(here.value) / LOG_RANGE
    return np.where(np.isfinite(chance), np.minimum(chance, 1.0), 1.0)


def _unforeseen_intercept(here: Digits) -> FloatArray:
    # Intercepts of other axes may be large: half of them in their own decade.
    with np.errstate(all="ignore"):
        chance = (
            2.0
            * here.half
            / np.maximum(np.abs(here.value) * LOG_RANGE, INTERCEPT_RANGE)
        )
    return np.where(np.isfinite(chance), np.minimum(chance, 1.0), 1.0)
