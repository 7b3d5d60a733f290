"""Invented classes for the exam of crossed effects, with one fault or none.

Thirty sections of twelve groups in three rooms, forty stations, six lots crossed in
the sections; one response per class, in natural logarithms. A tenth of the groups
made a gross blunder.
"""

from dataclasses import dataclass

import numpy as np

SPREAD = {"station": 0.006, "section": 0.004, "lot": 0.003}
LOT_SD = SPREAD["lot"]
Q = 0.05
GROSS = np.log([2.0, 5.0, 10.0, 0.5, 0.2, 0.1])


@dataclass(frozen=True)
class Layout:
    sections: int = 30
    per_section: int = 12
    stations: int = 40
    rooms: int = 3
    lots: int = 6


@dataclass(frozen=True)
class Fault:
    """A shift of one level, or of several, in natural logarithms."""

    factor: str
    size: float
    levels: int = 1


@dataclass
class DrawnClass:
    """Response and labels of N groups, which blundered, and the faulty levels."""

    y: np.ndarray
    labels: dict
    blundered: np.ndarray
    sigma: float
    faulty: dict


def place(rng, layout):
    """Who was where: each section in one room, its stations and lots dealt anew."""
    bounds = np.linspace(0, layout.stations, layout.rooms + 1).astype(int)
    station, lot = [], []
    for section in range(layout.sections):
        room = section % layout.rooms
        here = rng.permutation(np.arange(bounds[room], bounds[room + 1]))
        station.append(here[np.arange(layout.per_section) % len(here)])
        lot.append(rng.permutation(np.arange(layout.per_section) % layout.lots))
    return {
        "station": np.concatenate(station),
        "section": np.repeat(np.arange(layout.sections), layout.per_section),
        "lot": np.concatenate(lot),
    }


def nest_lots(labels, lots=6):
    """Give each section a single lot."""
    return {**labels, "lot": labels["section"] % lots}


def draw_class(
    rng, *, fault=None, sigma=0.009, blunders=0.1, layout=None, relabel=None
):
    """Draw a class; a fault is added to the effect of levels chosen at random."""
    labels = place(rng, layout or Layout())
    labels = relabel(labels) if relabel else labels
    effect = {
        name: rng.normal(0, SPREAD[name], column.max() + 1)
        for name, column in labels.items()
    }
    faulty = {name: set() for name in SPREAD}
    if fault:
        among = len(effect[fault.factor])
        chosen = rng.choice(among, fault.levels, replace=False)
        effect[fault.factor][chosen] += fault.size
        faulty[fault.factor] = set(chosen.tolist())
    n = len(labels["section"])
    y = sum(effect[name][column] for name, column in labels.items())
    y = y + rng.normal(0, sigma, n)
    blundered = rng.random(n) < blunders
    gross = rng.choice(GROSS, n)
    mild = np.log1p(rng.uniform(0.05, 0.4, n) * rng.choice([-1, 1], n))
    y = y + np.where(blundered, np.where(rng.random(n) < 0.5, gross, mild), 0.0)
    return DrawnClass(y, labels, blundered, sigma, faulty)
