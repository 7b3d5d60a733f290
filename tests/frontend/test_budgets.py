"""Budgets and draws as pictures and sentences, whatever their numbers."""

import numpy as np

from frontend.budgets import budget_picture, limited_by
from frontend.histograms import histogram, verdict
from results.explaining import Explanation, MonteCarlo, Source


def sources(**shares):
    return [
        Source(code, code, 100 * share**0.5, share) for code, share in shares.items()
    ]


def drawn(**changes):
    fields = {
        "trials": 100,
        "failed": 0,
        "mean": 12.0,
        "sd": 0.1,
        "low": 11.8,
        "high": 12.2,
        "shortest_low": 11.8,
        "shortest_high": 12.2,
        "counts": np.array([1, 4, 2]),
        "edges": np.array([11.7, 11.9, 12.1, 12.3]),
        "tolerance": 0.05,
        "low_differs": 0.01,
        "high_differs": 0.02,
        "agrees": True,
    }
    return MonteCarlo(**{**fields, **changes})


def computed(low, high):
    return Explanation(
        submission_id=1,
        revision=1,
        group_id=1,
        group="1",
        section_id=1,
        section="A1",
        course="C",
        iron_percent=(low + high) / 2,
        standard_uncertainty=0.1,
        low=low,
        high=high,
        uses_fieller=False,
        coverage_factor=2.0,
        effective_df=60.0,
        sources=(),
        parts=(),
        class_n=0,
        details={},
    )


def test_one_source_with_half_of_the_whole_limits_the_answer():
    assert limited_by(sources(calibration=0.6, masses=0.4)).endswith("by the line")
    assert limited_by(sources(reading=0.45, flasks=0.4, masses=0.15)) == (
        "limited by the unknown’s readings and the flasks"
    )


def test_the_longest_bar_and_its_label_stay_inside_the_picture():
    picture = budget_picture(sources(calibration=0.9, masses=0.1))

    first, second = picture.bars
    assert first.width > second.width
    # The widest label has some 20 letters of 12 px type.
    assert first.label_x + 110 < picture.width


def test_a_source_that_brings_nothing_has_no_bar():
    assert len(budget_picture(sources(calibration=1.0, burette=0.0)).bars) == 1


def test_the_tallest_column_fills_the_histogram():
    picture = histogram(computed(11.8, 12.2), drawn())

    tallest = max(picture.columns, key=lambda column: column.height)
    assert tallest is picture.columns[1]
    assert tallest.y + tallest.height == picture.bottom


def test_an_interval_wider_than_the_draws_is_drawn_whole():
    picture = histogram(computed(10.0, 14.0), drawn())

    assert (picture.computed.x1, picture.computed.x2) == (picture.left, picture.right)


def test_an_interval_that_differs_too_much_is_not_validated():
    assert "is validated" in verdict(drawn())
    assert "not validated" in verdict(drawn(agrees=False, high_differs=0.125))
