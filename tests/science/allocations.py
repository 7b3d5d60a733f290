"""Wishes for tests: a course of sections alike, and what must hold of every plan."""

from itertools import pairwise

import numpy as np

from results.science.allocation import Wishes


def make_wishes(sections=3, per_section=4, *, lots=3, stations=4, vials=99, **fields):
    """Sections of neighbours at places 1, 2, ...; every lot and station is open.

    Parameters
    ----------
    vials : int or list of int
        Free vials of each lot.
    """
    n = sections * per_section
    made = {
        "section": np.repeat(np.arange(sections), per_section),
        "place": np.tile(np.arange(1, per_section + 1), sections),
        "allowed": np.ones((n, lots), dtype=bool),
        "vials": np.broadcast_to(np.array(vials), (lots,)).copy(),
        "service": np.ones((sections, stations), dtype=bool),
        "lot": np.full(n, -1),
        "station": np.full(n, -1),
        "wants_station": np.ones(n, dtype=bool),
    }
    return Wishes(**(made | fields))


def broken_rules(wishes, plan):
    """Name the rules that a plan breaks; by plain loops, unlike the plan's own way."""
    broken = []
    groups = range(len(wishes.section))
    for section in set(wishes.section.tolist()):
        here = [g for g in groups if wishes.section[g] == section]
        here.sort(key=lambda g: wishes.place[g])
        for a, b in pairwise(here):
            beside = wishes.place[a] >= 0 and wishes.place[a] + 1 == wishes.place[b]
            both_kept = wishes.lot[a] >= 0 and wishes.lot[b] >= 0
            if beside and not both_kept and plan.lot[a] == plan.lot[b]:
                broken.append(("neighbours", a, b))
    dealt = [g for g in groups if wishes.lot[g] < 0]
    broken += [("lot", g) for g in dealt if not wishes.allowed[g, plan.lot[g]]]
    broken += [("kept", g) for g in groups if wishes.lot[g] not in (-1, plan.lot[g])]
    used = [int(plan.lot[g]) for g in dealt]
    broken += [
        ("vials", lot)
        for lot, n in enumerate(wishes.vials.tolist())
        if used.count(lot) > n
    ]
    broken += [
        ("station", g)
        for g in groups
        if wishes.to_seat[g] and not wishes.service[wishes.section[g], plan.station[g]]
    ]
    return broken


def can_be_dealt(wishes):
    """Whether lots can be dealt at all, by trying every way: for small wishes."""
    order = np.lexsort((wishes.place, wishes.section)).tolist()
    kept = {g: int(k) for g, k in enumerate(wishes.lot) if k >= 0}

    def beside(a, b):
        one_section = wishes.section[a] == wishes.section[b]
        known = wishes.place[a] >= 0 and wishes.place[b] >= 0
        return one_section and known and abs(wishes.place[a] - wishes.place[b]) == 1

    def deal(n, given, left):
        if n == len(order):
            return True
        group = order[n]
        if group in kept:
            return deal(n + 1, given, left)
        return any(
            deal(
                n + 1,
                given | {group: lot},
                [v - (k == lot) for k, v in enumerate(left)],
            )
            for lot in range(len(left))
            if left[lot] > 0
            and wishes.allowed[group, lot]
            and all(given[o] != lot for o in given if beside(o, group))
        )

    return deal(0, kept, wishes.vials.tolist())
