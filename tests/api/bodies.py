"""What programs send, and what they are answered."""

from tests.factories import STANDARD_MASS_G, UNKNOWN_MASS_G, perfect_readings


def body(*, percent_T=None, **changes):
    """A submission without any error unless told; None takes a key away."""
    values = {**perfect_readings(), **(percent_T or {})}
    sent = {
        "station": "4",
        "standard_mass_g": STANDARD_MASS_G,
        "unknown_mass_g": UNKNOWN_MASS_G,
        "readings": [
            {"tube": tube, "percent_T": value} for tube, value in values.items()
        ],
        **changes,
    }
    return {key: value for key, value in sent.items() if value is not None}


def problems_of(response):
    """Every problem of a problem document, by its pointer."""
    return {one["pointer"]: one["detail"] for one in response.json()["errors"]}
