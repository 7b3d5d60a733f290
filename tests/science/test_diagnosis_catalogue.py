from collections import Counter

import numpy as np
import pytest

from results.science.answer import compute_answers
from results.science.diagnosis import CATALOGUE, CODES, class_context, deed, diagnose
from results.science.diagnosis.assumptions import RATES, SIZES
from results.science.simulate.spoil import spoil_readings
from tests.exam.reference import draw_class
from tests.exam.scoring import context_of

GROUPS = 40
# Different deeds that look very much alike, or that only a lucky draw shows.
AS_GOOD = {
    "mistyped_reading": {"mistyped_reading", "tube_off"},
    "tube_off": {"tube_off", "mistyped_reading"},
    "tube_uncoloured": {"tube_uncoloured", "unknown_tube_off"},
    "mistyped_mass": {"mistyped_mass", "nominal_mass"},
    "unexplained": {"unexplained", *CODES.values()},
}


@pytest.fixture(scope="module")
def clean():
    """Forty clean groups of a class of two hundred, with the staff's context."""
    drawn = draw_class(np.random.default_rng(31), 200, slipped=0.0)
    context = context_of(
        drawn.scheme, drawn.readings, drawn.station, drawn.lot, drawn.assigned
    )
    rows = np.arange(GROUPS)
    arrays = (getattr(drawn.readings, name)[rows] for name in FIELDS)
    return drawn.scheme, type(drawn.readings)(*arrays), context.rows(rows)


FIELDS = (
    "standard_mass_g",
    "unknown_mass_g",
    "standard_taken_mL",
    "unknown_taken_mL",
    "standard_signal",
    "unknown_signal",
    "is_absorbance",
)


@pytest.mark.parametrize("name", [one.name for one in CATALOGUE])
def test_every_deed_is_found_under_its_code(clean, name):
    scheme, readings, context = clean
    spoilt, slips = spoil_readings(np.random.default_rng(32), scheme, readings, name)

    found = diagnose(scheme, spoilt, compute_answers(scheme, spoilt), context=context)

    first = {}
    for one in found:
        if one.code != "out_of_range":
            first.setdefault(one.row, one)
    code = slips[0].code
    right = [first[r].code in AS_GOOD.get(code, {code}) for r in first]
    # Masses leave little trace: most change a side by a few percent.
    least = 0.6 if "mass" in name and "decimal" not in name else 0.85
    assert sum(right) >= least * GROUPS
    tubes = [first[r].tube == slips[r].tube for r in first if first[r].code == code]
    assert np.mean(tubes) >= 0.9


@pytest.mark.parametrize("name", [one.name for one in CATALOGUE])
def test_every_deed_has_a_shape_with_a_rate_and_a_code(name):
    shape = deed(name).shape

    assert RATES[shape] > 0.0
    assert shape in CODES
    assert all(low < high for low, high in SIZES.get(shape, ()))


def test_names_are_used_once():
    counts = Counter(one.name for one in CATALOGUE)

    assert max(counts.values()) == 1
    assert len(CATALOGUE) >= 60


def test_no_deed_goes_by_an_unknown_name():
    with pytest.raises(KeyError):
        deed("no_such_deed")


def test_a_context_without_a_class_is_as_good_as_none():
    context = class_context(np.array([0.1]), np.array([0]))

    assert np.isnan(context.log_absorptivity).all()
