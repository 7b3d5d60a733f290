"""Whatever is sent, the answer says what to mend and never breaks."""

import hashlib
import json

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.api.bodies import body

SCALARS = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=8)
    | st.sampled_from(["0,21", "58.0", "1", "U1", "4", "417", "-", "1e300", "٣"])
)
ANYTHING = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=6,
)
READINGS = st.lists(
    st.dictionaries(
        st.sampled_from(["tube", "replicate", "taken_mL", "percent_T", "absorbance"]),
        ANYTHING,
    ),
    max_size=4,
)
CHANGES = st.fixed_dictionaries(
    {},
    optional={
        **dict.fromkeys(["station", "vial", "standard_mass_g", "left_out"], ANYTHING),
        **dict.fromkeys(["own_slope", "own_iron_mg"], ANYTHING),
        "readings": READINGS | ANYTHING,
    },
)


def key_of(sent):
    """A key of its own for each content."""
    return hashlib.sha256(json.dumps(sent).encode()).hexdigest()


@given(changes=CHANGES)
@settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_any_json_is_stored_or_told_what_to_mend(group_program, changes):
    sent = {**body(), **changes}

    response = group_program.send(sent, key=key_of(sent))

    assert response.status_code in {200, 201, 422}
    if response.status_code == 422:
        assert response.json()["errors"]
