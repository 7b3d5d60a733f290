"""The worked example of `results.policy.marking.suggest`, each number by hand."""

from decimal import Decimal

from results.policy.marking import DEFAULT_DOCUMENT, GradingFacts, Side, read_scheme
from results.policy.marking.suggest import suggest

FACTS = GradingFacts(
    iron_percent=12.36,
    assigned_percent=12.00,
    u_assigned_percent=0.03,
    spread_percent=2.0,
    tubes_read=6,
    tubes_expected=7,
    gave_own=True,
    slips=("A dilution step was left out",),
    late_min=26 * 60,
)


def test_every_part_is_what_it_is_by_hand():
    suggested = suggest(FACTS, read_scheme(DEFAULT_DOCUMENT))

    assert {part.name.value: part.points for part in suggested.parts} == {
        "accuracy": Decimal("8.00"),
        "precision": Decimal("1.50"),
        "worked_answer": Decimal("3.00"),
        "completeness": Decimal("2.57"),
        "lateness": Decimal("-2.00"),
        "resubmission": Decimal("0.00"),
    }


def test_the_sum_is_exact_and_losses_stand_apart():
    suggested = suggest(FACTS, read_scheme(DEFAULT_DOCUMENT))

    assert suggested.total == Decimal("13.07")
    assert suggested.max_points == Decimal(20)
    assert suggested.lost_to(Side.MEASUREMENT) == Decimal("2.50")
    assert suggested.lost_to(Side.ARITHMETIC) == Decimal("2.00")
    assert suggested.lost_to(Side.HANDING_IN) == Decimal("2.43")


def test_each_part_says_why_in_one_line():
    suggested = suggest(FACTS, read_scheme(DEFAULT_DOCUMENT))

    assert [part.said(open_values=True) for part in suggested.parts] == [
        "3.00 % from the assigned value, 0.50 % of it allowed for: 8 of 10 points.",
        "The unknown tubes spread by 2.00 % (one sd).",
        "A dilution step was left out. Each slip counts once.",
        "6 of 7 tubes were read.",
        "Late, days begun: 2. Points: −2.",
        "Not sent again.",
    ]


def test_what_groups_read_says_nothing_of_the_assigned_value():
    suggested = suggest(FACTS, read_scheme(DEFAULT_DOCUMENT))

    (accuracy,) = (p for p in suggested.parts if p.name.value == "accuracy")
    assert accuracy.said(open_values=False) == (
        "8 of 10 points for closeness, recomputed from the readings."
    )
