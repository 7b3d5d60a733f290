import numpy as np
import pytest

from results.science.answer import compute_answers
from results.science.simulate import (
    WORKED_SLIP_RATES,
    cross,
    draw_groups,
    draw_worked_answers,
    invent_lots,
    invent_stations,
)
from results.science.simulate.worked import to_figures


def typed_ratio(name, seed=1):
    """Iron contents with one slip alone ÷ those without any, for 400 groups."""
    drawn = draw_groups(np.random.default_rng(seed), 400, slip_rate_factor=0)
    right = draw_worked_answers(np.random.default_rng(2), drawn, slip_rate_factor=0)
    wrong = draw_worked_answers(np.random.default_rng(2), drawn, slip_rates={name: 1.0})
    ratio = np.array(
        [
            float(mine.iron_percent) / float(true.iron_percent)
            for mine, true in zip(wrong.answers, right.answers, strict=True)
        ]
    )
    return ratio, wrong


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        # Ratios of molar masses (CIAAW 2021): 392.13/55.845 and 392.13/284.04.
        ("salt_as_iron", 7.022),
        ("hydrate_ignored", 1.3806),
        # The scheme's own dilution of the standards, 10 to 200 mL.
        ("standards_dilution_skipped", 20),
        ("moles_as_grams", 1 / 55.845),
        ("forced_origin", 1.0),
        ("rounded_early", 1.0),
    ],
)
def test_slip_changes_the_answer_by_the_factor_of_its_formula(name, expected):
    ratio, _ = typed_ratio(name)

    assert np.median(ratio) == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("name", sorted(WORKED_SLIP_RATES))
def test_a_worked_slip_asked_for_alone_is_named_and_mostly_shows(name):
    _, wrong = typed_ratio(name)

    assert all(len(slips) == 1 for slips in wrong.slips)
    assert all(slips[0].code.startswith("worked_") for slips in wrong.slips)
    assert wrong.is_visible.mean() > 0.5


def test_skipped_dilutions_of_the_unknown_can_be_told_apart():
    ratio, wrong = typed_ratio("unknown_dilution_skipped")

    details = np.array([slips[0].detail for slips in wrong.slips])

    medians = [np.median(ratio[details == detail]) for detail in sorted(set(details))]
    assert medians == pytest.approx([3 / 50, 1 / 5, 3 / 250], rel=0.05)


def test_natural_logarithm_everywhere_does_no_harm_to_the_answer():
    ratio, wrong = typed_ratio("natural_log")

    everywhere = np.array([slips[0].detail == "everywhere" for slips in wrong.slips])

    # Two figures written are one part in ninety at worst.
    assert ratio[everywhere] == pytest.approx(1.0, rel=0.02)
    assert wrong.is_visible[everywhere].all()
    assert np.median(ratio[~everywhere]) == pytest.approx(2.303, rel=0.03)


def test_about_eighteen_in_a_hundred_show_a_slip_of_arithmetic():
    drawn = draw_groups(np.random.default_rng(3), 20_000)

    worked = draw_worked_answers(np.random.default_rng(4), drawn)

    assert worked.is_visible.mean() == pytest.approx(0.19, abs=0.02)


def test_most_answers_are_written_with_three_figures():
    drawn = draw_groups(np.random.default_rng(3), 3000, slip_rate_factor=0)

    worked = draw_worked_answers(np.random.default_rng(4), drawn, slip_rate_factor=0)

    digits = [len(answer.unknown_mg_L.replace(".", "")) for answer in worked.answers]
    shares = [
        np.mean(
            [
                d - a.unknown_mg_L.startswith("0.") == n
                for d, a in zip(digits, worked.answers, strict=True)
            ]
        )
        for n in (2, 3, 4)
    ]
    assert shares == pytest.approx([0.15, 0.70, 0.15], abs=0.03)


def test_answers_without_slips_are_those_computed_from_the_readings():
    layout = cross(*_places(), 4, 12)
    drawn = draw_groups(np.random.default_rng(1), 48, layout=layout, slip_rate_factor=0)

    worked = draw_worked_answers(np.random.default_rng(1), drawn, slip_rate_factor=0)

    computed = compute_answers(drawn.plan.scheme, drawn.readings).iron_percent
    own = [float(answer.iron_percent) for answer in worked.answers]
    # Two figures written are five parts in a hundred of 10 at worst.
    assert own == pytest.approx(computed, rel=0.05)
    assert np.median(np.abs(own / computed - 1)) < 0.003
    assert drawn.readings.is_absorbance.any()


def _places():
    rng = np.random.default_rng(1)
    stations = invent_stations(rng, 14, absorbance_share=1.0)
    return rng, stations, invent_lots(rng, 8)


def test_salt_without_water_cannot_lose_it():
    drawn = draw_groups(np.random.default_rng(1), 5, scheme=_iron_metal())

    worked = draw_worked_answers(
        np.random.default_rng(1), drawn, slip_rates={"hydrate_ignored": 1.0}
    )

    assert worked.slips == ((),) * 5


def _iron_metal():
    tubes = [{"tube": str(v), "take_mL": v, "make_up_mL": 50} for v in (2, 5, 10)]
    return {
        "wavelength_nm": 510,
        "standard": {
            "formula": "Fe",
            "mass_g": 0.1,
            "steps": [{"make_up_mL": 1000}, {"take_mL": 10}, {"make_up_mL": 100}],
        },
        "standards": tubes,
        "unknown": {
            "mass_g": 0.2,
            "steps": [{"make_up_mL": 500}],
            "tubes": [{"tube": "U1", "take_mL": 1, "make_up_mL": 50}],
        },
        "reading": {"scale": "percent_T", "step": 0.5, "sd": 0.3},
    }


@pytest.mark.parametrize(
    ("value", "figures", "written"),
    [
        (0.19996, 3, "0.200"),
        (9.996, 3, "10.0"),
        (1130.4, 3, "1130"),
        (0.0001134, 2, "0.00011"),
        (-0.02035, 3, "-0.0204"),
        (0.0, 2, "0.0"),
        (float("inf"), 3, ""),
    ],
)
def test_figures_are_kept_as_a_student_would_write_them(value, figures, written):
    assert to_figures(value, figures) == written
