import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.science.photometry import (
    TransmittanceError,
    absorbance_from_percent_T,
    absorbance_sd,
    usable_absorbance,
)


@given(st.floats(0.01, 110.0))
def test_absorbance_leads_back_to_the_transmittance(percent_T):
    absorbance = absorbance_from_percent_T(np.array([percent_T]))

    assert 100 * 10 ** -absorbance[0] == pytest.approx(percent_T)


def test_missing_reading_stays_missing():
    assert np.isnan(absorbance_from_percent_T(np.array([np.nan]))).all()


@pytest.mark.parametrize("percent_T", [0.0, -3.0])
def test_reading_without_light_is_refused_by_name(percent_T):
    with pytest.raises(TransmittanceError, match=f"{percent_T:g} %T"):
        absorbance_from_percent_T(np.array([50.0, percent_T]))


def test_batch_leaves_out_what_has_no_absorbance():
    signal = np.array([10.0, 0.0, -1.0, np.inf, np.nan])

    absorbance = usable_absorbance(signal, np.array(0, dtype=bool))

    assert absorbance[0] == 1.0
    assert np.isnan(absorbance[1:]).all()


def test_absorbance_is_passed_on():
    signal = np.array([0.3, -0.01])

    absorbance = usable_absorbance(signal, np.array([True, True]))

    assert absorbance.tolist() == [0.3, -0.01]


def test_reading_error_grows_as_the_light_goes():
    sd = absorbance_sd(np.array([80.0, 20.0]), np.array(0.5))

    assert sd[1] == pytest.approx(4 * sd[0])
