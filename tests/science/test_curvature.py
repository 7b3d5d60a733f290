import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.science.curvature import curvature_z

MG_L = np.array([[0.3, 0.6, 1.2, 1.8, 3.0]])


def stray(absorbance, share):
    """What a meter reads when a share of the light passes by the cell."""
    return -np.log10((10.0**-absorbance + share) / (1 + share))


@given(st.floats(0.05, 0.25), st.floats(0.1, 10))
def test_unit_of_the_concentration_does_not_matter(slope, unit):
    bent = stray(slope * MG_L, 0.02)

    assert curvature_z(unit * MG_L, bent) == pytest.approx(curvature_z(MG_L, bent))


def test_stray_light_bends_lines_downwards_the_more_of_it_there_is():
    z = [curvature_z(MG_L, stray(0.2 * MG_L, share))[0] for share in (0, 0.01, 0.03)]

    assert z[0] == pytest.approx(0, abs=1e-6)
    assert z[2] < z[1] < -0.5


def test_noise_as_declared_scatters_by_about_one():
    rng = np.random.default_rng(5)
    x = np.tile(MG_L, (4000, 1))
    clean = 0.2 * x + rng.normal(0, 0.0018, (4000, 1))
    meter = 0.003 * 10**clean / np.log(10)
    z = curvature_z(x, clean + rng.normal(0, np.hypot(0.003, meter)))

    assert np.std(z) == pytest.approx(1.0, abs=0.1)


@pytest.mark.parametrize(
    "mg_L",
    [
        [[0.3, 0.6, 1.2, np.nan, np.nan]],
        [[1.0, 1.0, 1.0, 1.0, 1.0]],
        [[np.nan] * 5],
        [[0.0] * 5],
    ],
)
def test_too_few_or_equal_standards_tell_nothing(mg_L):
    assert np.isnan(curvature_z(np.array(mg_L), 0.2 * np.array(mg_L))).all()
