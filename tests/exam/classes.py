"""Whole exams: a class is drawn, its context rebuilt, its diagnosis marked."""

import numpy as np

from results.science.simulate import draw_groups
from tests.exam.reference import Design, draw_class
from tests.exam.scoring import context_of, diagnose_all, mark
from tests.exam.slips import SLIPS

#: With one unknown tube, its own slips look like those of the whole unknown.
ONE_TUBE = frozenset({"unknown_side", "unknown_tube_off"})
#: Without a class, the iron content may be anything, and so may the usual mass.
UNSEEN_ALONE = frozenset({"unknown dilution", "unknown prep loss", "nominal mass"})
#: Slips of the exam that are made with percent transmittances only.
TYPED = frozenset({"A typed in T", "digits transposed"})
#: Relative sizes below this leave no trace, whatever their cause.
TOO_SMALL = 0.02
SIZED = frozenset({"tube_off", "standards_side", "unknown_side", "unknown_tube_off"})
#: What shows only against other groups is marked elsewhere.
BETWEEN_GROUPS = frozenset({"other_lot", "same_readings"})


def reference_exam(seed, groups, design=None, *, view="students", slipped=0.25):
    """Examine one class of the reference experiment."""
    design = design or Design()
    names = [name for name in SLIPS if not (design.absorbance and name in TYPED)]
    rng = np.random.default_rng(seed)
    drawn = draw_class(rng, groups, design, slipped, names)
    context = None
    if view != "nothing":
        assigned = drawn.assigned if view == "staff" else None
        context = context_of(
            drawn.scheme, drawn.readings, drawn.station, drawn.lot, assigned
        )
    diagnosed = diagnose_all(drawn.scheme, drawn.readings, context)

    def codes_of(name):
        codes = SLIPS[name].codes
        return codes | ONE_TUBE if design.unknowns == 1 and codes & ONE_TUBE else codes

    marks = mark(diagnosed, drawn.slip, codes_of, drawn.tube)
    if view == "nothing":
        marks.unseen = UNSEEN_ALONE
    return marks


def small_classes(seed, classes, size, design=None, *, view="students"):
    """Examine many small classes, each with its own context; a list of marks."""
    design = design or Design(stations=8)
    return [
        reference_exam(seed + number, size, design, view=view)
        for number in range(classes)
    ]


def course_exam(seed, groups, rates, *, view="students", factor=1.0):
    """Examine a class of the invented course; slips as it draws them.

    Groups with several slips, with one too small to leave a trace, or with one that
    shows only against other groups, are not marked.
    """
    drawn = draw_groups(
        np.random.default_rng(seed), groups, slip_rates=rates, slip_rate_factor=factor
    )
    assigned = drawn.assigned_iron_percent if view == "staff" else None
    scheme, layout = drawn.plan.scheme, drawn.layout
    context = None
    if view != "nothing":
        places = layout.station, layout.lot
        context = context_of(scheme, drawn.readings, *places, assigned)
    diagnosed = diagnose_all(scheme, drawn.readings, context)
    names = [slips[0].code if len(slips) == 1 else "" for slips in drawn.slips]
    tubes = [slips[0].tube if len(slips) == 1 else "" for slips in drawn.slips]
    keep = np.flatnonzero([_is_marked(slips) for slips in drawn.slips])
    marks = mark(
        diagnosed.rows(keep),
        np.array(names, dtype=object)[keep],
        lambda code: {code},
        [tubes[k] for k in keep],
    )
    if view == "nothing":
        marks.unseen = frozenset({"unknown_side", "nominal_mass"})
    return marks


def _is_marked(slips):
    if len(slips) != 1:
        return not slips
    (slip,) = slips
    if slip.code in BETWEEN_GROUPS:
        return False
    return slip.code not in SIZED or abs(slip.size) >= TOO_SMALL
