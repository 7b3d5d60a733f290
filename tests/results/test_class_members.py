"""A class is read once for a run of batches, and says what it would say anew."""

from dataclasses import fields, replace

import numpy as np
import pytest

from results import recompute
from results.models import Submission
from results.recompute.context import Classes, summarise
from results.recompute.readings import load_batches
from results.science.answer import compute_answers
from tests.factories import (
    NOW,
    make_group,
    make_lot,
    make_station,
    make_vial,
    perfect_readings,
    raw_submission,
    submit,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def stored():
    """Twelve groups of two lots, computed."""
    make_station()
    lots = [make_lot(code=code) for code in ("L1", "L2")]
    for number in range(12):
        group = make_group(code=str(number))
        make_vial(lots[number % 2], code=f"V{number}", group=group)
        readings = {"1": round(perfect_readings()["1"] + number / 10, 4)}
        submit(group, raw_submission(percent_T=readings))
    recompute.work_off(clock=lambda: NOW)


def first_four():
    chosen = Submission.objects.order_by("pk")[:4].values_list("pk", flat=True)
    (batch,) = load_batches(Submission.objects.filter(pk__in=list(chosen)))
    own = summarise(batch, compute_answers(batch.scheme, batch.readings))
    return batch, own


def test_rows_that_say_the_same_are_told_what_a_class_made_anew_tells(stored):
    batch, own = first_four()
    # By more than two numbers that are one may differ, and by less than matters.
    shifted = replace(own, log_iron=own.log_iron + 1e-8)

    as_read = Classes().contexts_of(batch, own)
    made_anew = Classes().contexts_of(batch, shifted)

    for view in ("for_group", "for_staff"):
        one, other = getattr(as_read, view), getattr(made_anew, view)
        for field in fields(one):
            assert np.allclose(
                getattr(one, field.name),
                getattr(other, field.name),
                rtol=0.0,
                atol=1e-6,
                equal_nan=True,
            ), field.name


def test_an_own_row_that_changed_does_not_speak_of_itself(stored):
    batch, own = first_four()
    off = np.array([1.0, 0.0, 0.0, 0.0])
    changed = replace(own, log_absorptivity=own.log_absorptivity + off)

    before = Classes().contexts_of(batch, own).for_group
    after = Classes().contexts_of(batch, changed).for_group

    assert after.log_absorptivity[0] == pytest.approx(before.log_absorptivity[0])
    assert np.isfinite(after.log_absorptivity[0])
