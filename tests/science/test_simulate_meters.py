from dataclasses import replace

import numpy as np
import pytest

from results.science.dilution import parse_scheme
from results.science.simulate import (
    PEAK_ABSORPTIVITY,
    alias_lots_with_stations,
    cross,
    draw_groups,
    invent_lots,
    invent_stations,
    invented_scheme,
    random_layout,
    relative_absorptivity,
)
from results.science.simulate.chain import draw_side
from results.science.simulate.plan import read_plan


def perfect_layout(n_groups, **changes):
    """Stations without any fault, apart from the changes."""
    layout = random_layout(np.random.default_rng(2), n_groups, stations=1)
    nothing = dict.fromkeys(
        ("wavelength_offset_nm", "zero_percent_T", "drift_percent_T", "stray_light"),
        np.zeros(1),
    )
    exact = {"bandpass_nm": np.full(1, 1e-6), "gain": np.ones(1)}
    return replace(
        layout, stations=replace(layout.stations, **(nothing | exact | changes))
    )


def mean_slope(layout):
    drawn = draw_groups(
        np.random.default_rng(9), len(layout), layout=layout, slip_rate_factor=0
    )
    top_mg_L = 0.15 * 0.995 * 55.845 / 392.13 * 1e6 / 200 * 10 / 200 * 28 / 50
    absorbance = 2 - np.log10(drawn.standard_percent_T[:, -1])
    mass_ratio = drawn.typed.standard_mass_g / 0.15
    return np.mean(absorbance / mass_ratio) / top_mg_L


def test_peak_absorptivity_is_the_published_one_per_milligram():
    # 11 100 L/mol/cm at 508 nm: Fortune & Mellon 1938, Ind. Eng. Chem. Anal. Ed. 10,
    # 60 (from memory); iron 55.845 g/mol: CIAAW 2021.
    assert pytest.approx(0.1988, abs=5e-5) == PEAK_ABSORPTIVITY


def test_spectrum_peaks_at_510_nm_and_falls_faster_on_the_long_side():
    wavelengths = np.arange(400, 601)

    relative = relative_absorptivity(wavelengths)

    assert wavelengths[relative.argmax()] == 510
    assert relative_absorptivity(530) < relative_absorptivity(490)
    assert ((relative >= 0.02) & (relative <= 1)).all()


def test_perfect_meter_shows_the_peak_absorptivity():
    slope = mean_slope(perfect_layout(2000))

    assert slope == pytest.approx(PEAK_ABSORPTIVITY, rel=0.004)


def test_stray_light_sets_the_ceiling_the_textbooks_give():
    # A ≤ −log10[s/(1+s)], a common textbook formula: 1.72 for 2 % stray light.
    layout = perfect_layout(500, stray_light=np.full(1, 0.02))
    scheme = invented_scheme()
    scheme["standard"]["mass_g"] = 15.0

    drawn = draw_groups(
        np.random.default_rng(9), 500, scheme=scheme, layout=layout, slip_rate_factor=0
    )

    darkest = np.mean(drawn.standard_percent_T[:, -1])
    assert darkest == pytest.approx(100 * 0.02 / 1.02, abs=0.15)


def test_wide_band_lowers_the_slope():
    wide = mean_slope(perfect_layout(2000, bandpass_nm=np.full(1, 20.0)))

    assert 0.95 < wide / PEAK_ABSORPTIVITY < 0.98


def test_flask_limits_are_triangular():
    # A 100 mL flask of ±0.1 mL has u = 0.1/√6 = 0.041 mL: EURACHEM/CITAC Guide CG 4,
    # example A1. Without any handling error only the limit is left.
    scheme = invented_scheme()
    scheme["standard"]["steps"][0]["make_up_mL"] = 100
    plan = read_plan(scheme)

    side = draw_side(np.random.default_rng(1), plan.standards, np.zeros(50_000))

    assert side.flask_mL[:, 0].std() == pytest.approx(0.041, abs=0.0005)


def test_every_device_delivers_what_it_says_on_average():
    scheme = invented_scheme()
    devices = ("burette", "pipette", "graduated pipette", "piston pipette", "cylinder")
    for tube, device in zip(scheme["standards"], devices, strict=True):
        tube["with"] = device
    plan = read_plan(scheme)

    side = draw_side(np.random.default_rng(1), plan.standards, np.ones(20_000))

    ratio = (side.tube_take_mL / side.aimed_mL).mean(axis=0)
    assert ratio == pytest.approx(np.ones(5), abs=0.001)


def test_flask_made_up_further_passes_everything_on():
    scheme = invented_scheme()
    scheme["unknown"]["steps"] = [{"make_up_mL": 50}, {"make_up_mL": 500}]

    plan = read_plan(scheme)

    assert plan.unknown.dilutions == (0.1,)


@pytest.mark.parametrize(
    ("turn", "words"), [(0, "wavelength"), (1, "drifts"), (2, "stray"), (3, "sticks")]
)
def test_faulty_stations_say_what_is_wrong_with_them(turn, words):
    stations = invent_stations(np.random.default_rng(turn), 12, faulty=turn + 1)

    faults = [fault for fault in stations.faults if fault]

    assert len(faults) == turn + 1
    assert sum(words in fault for fault in faults) == 1


def test_sticky_needle_repeats_readings():
    layout = perfect_layout(2000, is_sticky=np.ones(1, dtype=bool))

    drawn = draw_groups(
        np.random.default_rng(1), 2000, layout=layout, slip_rate_factor=0
    )

    repeats = np.mean(drawn.standard_values[:, 1:] == drawn.standard_values[:, :-1])
    assert repeats == pytest.approx(0.10, abs=0.02)


def test_lots_stand_apart_and_their_faults_are_known():
    lots = invent_lots(np.random.default_rng(3), 12, faulty=4)

    ordered = np.sort(lots.assigned_percent)
    assert (ordered[1:] / ordered[:-1] > 1.04).all()
    assert set(lots.faults) == {"", "key wrong", "damp", "dried", "segregated"}
    wrong = lots.faults.index("key wrong")
    assert abs(lots.true_percent[wrong] / lots.assigned_percent[wrong] - 1) > 0.07


def test_lots_are_crossed_with_stations_and_sections():
    rng = np.random.default_rng(1)
    layout = cross(rng, invent_stations(rng, 40), invent_lots(rng, 8), 30, 12)

    stations_of_lot = [len(set(layout.station[layout.lot == lot])) for lot in range(8)]
    lots_of_station = [len(set(layout.lot[layout.station == s])) for s in range(40)]

    assert min(stations_of_lot) >= 5
    assert min(lots_of_station) >= 4


def test_aliased_layout_gives_every_lot_one_station():
    layout = alias_lots_with_stations(random_layout(np.random.default_rng(1), 200))

    assert len(set(zip(layout.lot, layout.station, strict=True))) == 8


def test_invented_scheme_lands_where_the_colour_can_be_read():
    # Keep unknowns at 20–65 %T and standards at about 25–88: common practice.
    drawn = draw_groups(np.random.default_rng(1), 4000, slip_rate_factor=0)

    typical = np.median(drawn.standard_percent_T, axis=0)
    low, high = np.percentile(drawn.unknown_percent_T, [1, 99])

    assert parse_scheme(invented_scheme()).standard_labels == ("1", "2", "3", "4", "5")
    assert (typical > 25).all()
    assert (typical < 88).all()
    assert low > 20
    assert high < 68
