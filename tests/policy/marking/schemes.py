"""Any grading scheme, any work: what properties are tested on."""

from decimal import Decimal

from hypothesis import strategies as st

from results.policy.marking import AllowanceKind, GradingFacts, Terms


def hundredths(low, high):
    return st.integers(round(low * 100), round(high * 100)).map(lambda n: n / 100)


@st.composite
def bands(draw, most):
    percents = sorted(draw(st.sets(hundredths(0, 40), min_size=1, max_size=7)))
    falling = draw(
        st.lists(hundredths(0, most), min_size=len(percents), max_size=len(percents))
    )
    falling.sort(reverse=True)
    return {
        "shape": draw(st.sampled_from(["step", "linear"])),
        "knots": [list(pair) for pair in zip(percents, falling, strict=True)],
        "beyond": draw(hundredths(0, falling[-1])),
    }


@st.composite
def documents(draw):
    """Every scheme that can be read, with accuracy in it."""
    most = draw(hundredths(0.01, 60))
    document = {
        "title": "Any",
        "accuracy": {
            "points": most,
            **draw(bands(most)),
            "widen_by_u": draw(hundredths(0, 3)),
            "floor": draw(hundredths(0, most)),
        },
    }
    if draw(st.booleans()):
        points = draw(hundredths(0, 20))
        document["precision"] = {"points": points, **draw(bands(points))}
    if draw(st.booleans()):
        points = draw(hundredths(0, 20))
        document["worked_answer"] = {
            "points": points,
            "per_slip": draw(hundredths(0, points)),
        }
    if draw(st.booleans()):
        document["completeness"] = {"points": draw(hundredths(0, 20))}
    if draw(st.booleans()):
        document["lateness"] = {
            "per_day": draw(hundredths(0, 9)),
            "most": draw(hundredths(0, 30)),
            "grace_min": draw(st.integers(0, 600)),
        }
    if draw(st.booleans()):
        document["resubmission"] = {
            "free": draw(st.integers(0, 3)),
            "cost": draw(hundredths(0, 5)),
            "most": draw(hundredths(0, 9)),
            "counted": draw(st.sampled_from(["after_due", "all"])),
        }
    return document


iron = st.floats(0.01, 100, allow_nan=False)
some = st.none() | iron


@st.composite
def works(draw):
    """Every kind of work, the unfinished and the absent included."""
    has_answer = draw(st.booleans())
    again = draw(st.integers(0, 6))
    expected = draw(st.integers(0, 9))
    return GradingFacts(
        received=draw(st.booleans()),
        no_answer_because="" if has_answer else "The line does not rise.",
        iron_percent=draw(iron) if has_answer else None,
        assigned_percent=draw(some),
        u_assigned_percent=draw(st.floats(0, 1)),
        spread_percent=draw(st.none() | st.floats(0, 50)),
        tubes_read=draw(st.integers(0, expected)),
        tubes_expected=expected,
        gave_own=draw(st.booleans()),
        slips=tuple(draw(st.lists(st.sampled_from("abcde"), max_size=5))),
        late_min=draw(st.floats(0, 40_000)),
        again=again,
        again_after_due=draw(st.integers(0, again)),
    )


allowances = st.builds(
    Terms,
    kind=st.sampled_from(list(AllowanceKind)),
    label=st.just("lot L3"),
    reason=st.just("re-assayed"),
    amount=st.floats(0, 30),
)
NONE = Decimal(0)
