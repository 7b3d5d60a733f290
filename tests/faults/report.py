"""A trial in lines for people."""

import math


def lines(told, ledger, *, lease_s):
    """Yield what a trial found."""
    found = told.account
    kills = ", ".join(
        f"{name} {told.kills[name]} ({told.at_work[name]} at work)"
        for name in sorted(told.kills)
    )
    yield f"killed: {kills}"
    yield (
        f"acknowledged {found.acknowledged}, stored {found.stored}; lost {found.lost}, "
        f"doubled {found.doubled}, wrong answers {found.wrong}, "
        f"without all readings {found.torn}, without answer or work {found.forgotten}; "
        f"compared {told.checks} times"
    )
    yield f"answers to phones: {dict(sorted(ledger.answers.items()))}"
    yield "from the restart of the killed part, s    n   median      p95      max"
    for what, by_part in (
        ("next answer stored", told.answered_s),
        ("nothing of before waits", told.cleared_s),
    ):
        for name, times in sorted(by_part.items()):
            yield row(f"{what}, {name}", times)
        yield row(f"{what}, all", [s for times in by_part.values() for s in times])
    cleared = [s for times in told.cleared_s.values() for s in times]
    n_within = sum(s <= lease_s for s in cleared)
    yield f"within one lease, {lease_s} s: {n_within} of {len(cleared)}"
    yield f"everything finished {told.finished_s:.1f} s after the last kill"
    yield from (f"FAULT {remark}" for remark in found.remarks)


def row(name, times):
    """Lay out times: how many, their median, 95th percentile and largest."""
    if not times:
        return f"{name:<38}{0:>5}"
    ordered = sorted(times)
    figures = (quantile(ordered, 0.5), quantile(ordered, 0.95), ordered[-1])
    return f"{name:<38}{len(ordered):>5}" + "".join(f"{s:>9.2f}" for s in figures)


def quantile(ordered, share):
    """Return the smallest time that this share of times does not exceed."""
    return ordered[max(0, math.ceil(share * len(ordered)) - 1)]
