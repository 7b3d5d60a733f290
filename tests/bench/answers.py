"""Speed and memory of the default estimator with all its outputs."""

import math
import time
import tracemalloc
from dataclasses import fields
from itertools import pairwise

import numpy as np
import scipy.stats
import statsmodels.api as sm

from results.science.answer import CHUNK, compute_answers
from results.science.class_scale import fit_class_scale
from results.science.result import NUMBERS
from tests.science.reference_class import draw_class

DRAWN = 20_000
SAMPLE = 200
#: Sizes from which on the fixed cost of a call no longer matters.
GROWTH_FROM = 10_000


def report(sizes):
    """Measure, and yield what was found line by line."""
    drawn = draw_class(DRAWN, seed=1)
    seconds = {}
    yield "groups     answers/s   ns/group   x floor   class of two passes, ms"
    for groups in sizes:
        readings = drawn.readings.rows(np.resize(np.arange(DRAWN), groups))
        runs = max(3, min(20, 300_000 // groups))
        taken = best(lambda r=readings: compute_answers(drawn.scheme, r), runs)
        least = best(lambda r=readings: floor(r), runs)
        both = best(lambda r=readings: as_a_class(drawn.scheme, r), 3)
        seconds[groups] = taken
        yield (
            f"{groups:<10,} {groups / taken:>10,.0f} {1e9 * taken / groups:>9.0f}"
            f" {taken / least:>9.1f} {1e3 * both:>13.1f}"
        )
    yield from growth(seconds)
    yield from loops(drawn, min(t / n for n, t in seconds.items()))
    yield memory(drawn)


def best(work, runs):
    """Time the fastest of several runs, in seconds of the processor."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return max(min(times), 1e-9)


def as_a_class(scheme, readings):
    """Compute twice, the second time with the class scale."""
    first = compute_answers(scheme, readings)
    scale = fit_class_scale(first.phi, first.df)
    return compute_answers(scheme, readings, class_scale=scale)


def floor(readings):
    """Do the least there is to do: logarithms, sums, writing as many outputs."""
    groups, n, _ = readings.standard_signal.shape
    m = readings.unknown_signal.shape[1]
    out = np.empty((len(NUMBERS) + 2 * n + m + 3, groups))
    for start in range(0, groups, CHUNK):
        rows = slice(start, start + CHUNK)
        x = np.ascontiguousarray(readings.standard_taken_mL[rows].T)
        y = np.log10(np.ascontiguousarray(readings.standard_signal[rows, :, 0].T))
        u = np.log10(np.ascontiguousarray(readings.unknown_signal[rows, :, 0].T))
        sums = (x, y, x * x, x * y, y * y, u)
        out[:6, rows] = [values.sum(axis=0) for values in sums]
        out[6:, rows] = out[0, rows]
    return out


def growth(seconds):
    """Compare sizes: one is proportional growth."""
    large = [n for n in seconds if n >= GROWTH_FROM]
    for few, many in pairwise(large):
        exponent = math.log(seconds[many] / seconds[few]) / math.log(many / few)
        yield f"growth exponent from {few:,} to {many:,}: {exponent:.3f}"


def loops(drawn, batch_seconds):
    """Time loops over single groups by other libraries, on a sample."""
    answers = compute_answers(drawn.scheme, drawn.readings.rows(slice(0, SAMPLE)))
    x, y = answers.concentration_mg_L, answers.standard_absorbance

    def linregress():
        for one_x, one_y in zip(x, y, strict=True):
            scipy.stats.linregress(one_x, one_y)

    def wls():
        for one_x, one_y in zip(x, y, strict=True):
            fit = sm.WLS(one_y, sm.add_constant(one_x), weights=one_x).fit()
            _ = fit.params, fit.bse

    for name, work in (("scipy linregress", linregress), ("statsmodels WLS", wls)):
        each = best(work, 3) / SAMPLE
        yield (
            f"loop over {name}, the line alone: {1e6 * each:,.0f} us/group, "
            f"{each / batch_seconds:,.0f} times the batch with all outputs"
        )


def memory(drawn):
    """Count what a group takes in arrays, and at the peak of a computation."""
    groups = 100_000
    readings = drawn.readings.rows(np.resize(np.arange(DRAWN), groups))
    inputs = sum(getattr(readings, field.name).nbytes for field in fields(readings))
    tracemalloc.start()
    answers = compute_answers(drawn.scheme, readings)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    outputs = sum(getattr(answers, field.name).nbytes for field in fields(answers))
    return (
        f"memory: readings {inputs / groups:.0f} B/group, answers "
        f"{outputs / groups:.0f} B/group, peak of a batch of {groups:,} beside the "
        f"readings {peak / groups:.0f} B/group"
    )
