"""A class scale is fitted to the class as it is, and settles at once."""

import numpy as np
import pytest

from results import recompute
from results.models import Answer, ClassFit, PendingRecompute
from tests.factories import (
    NOW,
    make_group,
    make_station,
    perfect_readings,
    raw_submission,
    submit,
)

pytestmark = pytest.mark.django_db
GROUPS = 36


def clock():
    return NOW


def noisy_class(count=GROUPS, seed=5):
    """Groups whose every reading scatters by 0.4 %T."""
    rng = np.random.default_rng(seed)
    make_station()
    for number in range(count):
        values = {
            tube: round(value + rng.normal(0, 0.4), 1)
            for tube, value in perfect_readings().items()
        }
        submit(make_group(code=str(number)), raw_submission(percent_T=values))
    recompute.work_off(clock=clock)


def test_a_class_of_enough_groups_shortens_their_intervals():
    noisy_class()
    before = dict(Answer.objects.values_list("pk", "standard_uncertainty"))

    assert recompute.refresh_classes(now=NOW) == GROUPS
    recompute.work_off(clock=clock)

    fit = ClassFit.objects.get()
    factors = [answer.details["coverage_factor"] for answer in Answer.objects.all()]
    assert fit.n_groups == GROUPS
    assert fit.d0 > 5
    assert max(factors) < 2.5
    assert before != dict(Answer.objects.values_list("pk", "standard_uncertainty"))


def test_fitting_again_changes_nothing():
    noisy_class()
    recompute.refresh_classes(now=NOW)
    recompute.work_off(clock=clock)

    assert recompute.refresh_classes(now=NOW, grown_only=False) == 0
    assert not PendingRecompute.objects.exists()


def test_a_class_is_fitted_anew_when_it_has_grown_by_a_tenth():
    noisy_class()
    recompute.refresh_classes(now=NOW)
    recompute.work_off(clock=clock)

    submit(make_group(code="one more"))
    recompute.work_off(clock=clock)
    assert recompute.refresh_classes(now=NOW) == 0

    for number in range(4):
        submit(make_group(code=f"more {number}"))
    recompute.work_off(clock=clock)
    assert recompute.refresh_classes(now=NOW) == GROUPS + 5


def test_a_small_class_leaves_every_group_its_own_scale():
    noisy_class(count=8)

    recompute.refresh_classes(now=NOW)
    recompute.work_off(clock=clock)

    assert ClassFit.objects.get().d0 == 0
    assert all(a.details["class_scale"]["d0"] == 0 for a in Answer.objects.all())
