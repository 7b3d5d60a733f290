"""The exam of the worked answers."""

import time

import numpy as np

from results.science.answer import compute_answers
from results.science.simulate import (
    WORKED_SLIP_RATES,
    draw_groups,
    draw_worked_answers,
)
from results.science.simulate.worked import to_figures
from results.science.worked import ReportedValues, check_worked


def invented(seed, groups):
    """Draw groups without slips on the bench."""
    drawn = draw_groups(np.random.default_rng(seed), groups, slip_rate_factor=0)
    return drawn, drawn.plan.scheme, compute_answers(drawn.plan.scheme, drawn.readings)


def report(answer, *, final_only=False):
    """Report a worked answer: all four numbers, or the last alone."""
    if final_only:
        return ReportedValues(iron_percent=answer.iron_percent)
    return ReportedValues(
        answer.slope, answer.intercept, answer.unknown_mg_L, answer.iron_percent
    )


def single_slips(seed, groups, *, figures=4, final_only=False):
    """Share named right for each slip, among those whose digits it changed."""
    drawn, scheme, answers = invented(seed, groups)
    named = {}
    for name in sorted(set(WORKED_SLIP_RATES) - {"unexplained"}):
        work = draw_worked_answers(
            np.random.default_rng(seed + 1),
            drawn,
            slip_rates={name: 1.0},
            figures=figures,
        )
        reported = [report(a, final_only=final_only) for a in work.answers]
        found = {}
        for one in check_worked(scheme, drawn.readings, answers, reported):
            found.setdefault(one.row, []).append(one.code)
        seen = [r for r in range(groups) if work.is_visible[r] and work.slips[r]]
        right = [found.get(r) == [work.slips[r][0].code] for r in seen]
        named[name] = float(np.mean(right)) if right else 1.0
    return named


def clean_share(seed, groups, *, figures=4):
    """Share of right workings that are called right, and groups a second."""
    drawn, scheme, answers = invented(seed, groups)
    work = draw_worked_answers(
        np.random.default_rng(seed + 1), drawn, slip_rate_factor=0, figures=figures
    )
    reported = [report(answer) for answer in work.answers]
    started = time.perf_counter()
    found = check_worked(scheme, drawn.readings, answers, reported)
    seconds = time.perf_counter() - started
    return 1.0 - len({one.row for one in found}) / groups, groups / seconds


def random_finals(seed, groups, *, decades=4.0, figures=4):
    """Share of random wrong answers that one slip, or a pair, is made to explain."""
    drawn, scheme, answers = invented(seed, groups)
    rng = np.random.default_rng(seed + 2)
    factor = np.exp(np.log(10) * decades * (rng.random(groups) - 0.5))
    reported = [
        ReportedValues(iron_percent=to_figures(float(value), figures))
        for value in answers.iron_percent * factor
    ]
    found = check_worked(scheme, drawn.readings, answers, reported)
    explained = [one for one in found if one.code != "worked_unexplained"]
    single = {one.row for one in explained if one.numbers["slips"] == 1.0}
    pairs = {one.row for one in explained if one.numbers["slips"] > 1.0}
    return len(single) / groups, len(pairs) / groups
