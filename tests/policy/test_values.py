"""A lot's value as typed: one that can be stored, or everything there is to mend."""

from datetime import UTC

import pytest

from results.policy.refusals import NotAdmitted
from results.policy.values import read_new_value

TYPED = {
    "iron_percent": "12,6",
    "u_iron_percent": 0.03,
    "valid_from": "2025-03-04T14:00",
}


def read(**changes):
    return read_new_value(1, {**TYPED, **changes}, zone=UTC)


def test_a_value_with_a_comma_and_a_moment_without_a_zone_is_read():
    value = read()

    assert (value.iron_percent, value.valid_from.tzinfo) == (12.6, UTC)


@pytest.mark.parametrize(
    ("box", "typed"),
    [
        ("iron_percent", None),
        ("u_iron_percent", None),
        ("iron_percent", ""),
        ("u_iron_percent", float("nan")),
        ("valid_from", "soon"),
        ("valid_from", "0001-01-01T00:00+14:00"),
        ("valid_from", "9999-12-31T23:59-12:00"),
    ],
)
def test_what_cannot_be_stored_is_named(box, typed):
    with pytest.raises(NotAdmitted) as refused:
        read(**{box: typed})

    assert [one.pointer for one in refused.value.problems] == [f"/{box}"]
