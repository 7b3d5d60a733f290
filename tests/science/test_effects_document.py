import json

import numpy as np

from results.science.effects import crossed_effects
from results.science.effects.document import dump, load
from tests.exam.crossed import LOT_SD, Fault, draw_class


def test_effects_come_back_from_json_as_they_were():
    drawn = draw_class(np.random.default_rng(1), fault=Fault("section", 0.05))
    before = crossed_effects(drawn.y, drawn.labels, declared_sd={"lot": LOT_SD})

    document = json.loads(json.dumps(dump(before), allow_nan=False))
    after = load(document)

    assert dump(after) == document
    for name, among in before.factors.items():
        again = after.factors[name]
        for one, other in zip(among.levels, again.levels, strict=True):
            assert (one.level, one.n, one.verdict) == (
                other.level,
                other.n,
                other.verdict,
            )
            np.testing.assert_allclose(other.effect, one.effect, rtol=1e-5)
            assert len(one.left_out) == len(other.left_out)
    assert after.set_aside.tolist() == before.set_aside.tolist()


def test_nothing_fitted_comes_back_too():
    nothing = crossed_effects([], {"station": []})

    assert load(json.loads(json.dumps(dump(nothing), allow_nan=False))).n == 0
