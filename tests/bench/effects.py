"""Speed and memory of the crossed model, room by room."""

import math
import tracemalloc
from itertools import pairwise

import numpy as np

from results.science.effects import crossed_effects
from tests.bench.answers import best
from tests.exam.crossed import LOT_SD, Fault, Layout, draw_class

PER_SECTION, STATIONS_A_ROOM, SECTIONS_A_ROOM, LOTS = 12, 30, 84, 24
SIZES = (1_000, 10_000, 100_000)


def report():
    """Measure, and yield what was found line by line."""
    yield (
        "\nEffects of one response: sections of 12, rooms of 30 stations, 24 lots, one "
        "faulty station, 10 % blunders"
    )
    seconds = {}
    for groups in SIZES:
        drawn = a_class(groups)
        n = drawn.y.size
        seconds[n] = best(lambda d=drawn: fitted(d), 3)
        yield (
            f"{n:<10,} {seconds[n]:8.3f} s   {1e6 * seconds[n] / n:6.1f} us/group   "
            f"peak {peak(drawn) / n:5.0f} B/group"
        )
    for few, many in pairwise(seconds):
        exponent = math.log(seconds[many] / seconds[few]) / math.log(many / few)
        yield f"growth exponent from {few:,} to {many:,}: {exponent:.3f}"


def a_class(groups):
    """Draw a class of about so many groups."""
    sections = math.ceil(groups / PER_SECTION)
    rooms = max(1, round(sections / SECTIONS_A_ROOM))
    layout = Layout(sections, PER_SECTION, STATIONS_A_ROOM * rooms, rooms, LOTS)
    rng = np.random.default_rng(1)
    return draw_class(rng, fault=Fault("station", 0.05), layout=layout)


def fitted(drawn):
    """Fit a class."""
    return crossed_effects(drawn.y, drawn.labels, declared_sd={"lot": LOT_SD})


def peak(drawn):
    """Count the bytes that fitting a class takes beside it."""
    tracemalloc.start()
    fitted(drawn)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return most
