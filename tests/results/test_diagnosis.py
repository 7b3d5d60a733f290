"""Findings reach those they are for: the group without assigned values, staff with."""

from datetime import timedelta

import pytest

from results import recompute
from results.models import (
    Answer,
    AssignedValue,
    ClassFit,
    Finding,
    PendingRecompute,
    Protocol,
)
from results.models.outcomes import Audience
from tests.factories import (
    NOW,
    UNKNOWN_TUBES,
    make_bench,
    make_group,
    make_lot,
    make_station,
    make_vial,
    perfect_readings,
    raw_submission,
    submit,
)

pytestmark = pytest.mark.django_db


def clock():
    return NOW


@pytest.fixture
def lots():
    make_station()
    return make_lot(code="L1", iron_percent=12.0), make_lot(code="L2", iron_percent=9.0)


def told(audience, group):
    return set(
        Finding.objects.filter(submission__group=group, audience=audience).values_list(
            "code", flat=True
        )
    )


def send(group, **changes):
    submit(group, raw_submission(**changes))
    recompute.work_off(clock=clock)


def test_a_standard_that_is_off_is_told_to_both(lots):
    group = make_group()

    send(group, percent_T={"3": 52.0})

    assert "tube_off" in told(Audience.GROUP, group)
    assert "tube_off" in told(Audience.STAFF, group)


def test_another_lots_iron_is_told_to_staff_alone(lots):
    group = make_group()
    make_vial(lots[0], "V1", group=group)
    readings = perfect_readings(iron_percent=9.0)

    send(group, percent_T={tube: readings[tube] for tube in UNKNOWN_TUBES})

    assert "other_lot" in told(Audience.STAFF, group)
    assert told(Audience.GROUP, group) == set()


def test_the_same_readings_in_two_groups_are_told_to_staff_of_both(lots):
    first, second = make_group(code="1"), make_group(code="2")
    others = [make_group(code=f"other {n}") for n in range(8)]
    for number, group in enumerate(others):
        send(group, percent_T={"1": 80.0 + number, "2": 70.0 + number})

    send(first)
    send(second)

    assert "same_readings" in told(Audience.STAFF, first)
    assert "same_readings" in told(Audience.STAFF, second)
    assert "same_readings" not in told(Audience.GROUP, second)
    assert not PendingRecompute.objects.exists()


def test_staff_are_told_by_the_value_that_held_when_the_readings_came(lots):
    group = make_group()
    make_vial(lots[0], "V1", group=group)
    AssignedValue.objects.create(
        lot=lots[0], iron_percent=20.0, valid_from=NOW + timedelta(days=1)
    )

    send(group)

    assert told(Audience.STAFF, group) == set()


def test_that_an_unknown_disagrees_with_its_lot_shows_in_nothing_a_group_sees(lots):
    def seen_of(iron_percent, number):
        group = make_group(code=f"group {number}")
        make_vial(lots[0], f"V{number}", group=group)
        readings = perfect_readings(iron_percent=iron_percent)
        readings["1"] += number / 100
        send(group, percent_T=readings)
        answer = Answer.objects.get(submission__group=group)
        return group, answer.slope_se

    ClassFit.objects.create(
        protocol=Protocol.objects.get(), fitted_at=NOW, n_groups=40, s0_sq=1.0, d0=50.0
    )
    for number in range(8):
        seen_of(12.0, number)
    like_the_lot, its_slope_se = seen_of(12.0, 9)
    lost, slope_se = seen_of(8.0, 9.001)

    assert "unknown_side" in told(Audience.STAFF, lost)
    assert told(Audience.GROUP, lost) == told(Audience.GROUP, like_the_lot) == set()
    assert slope_se == pytest.approx(its_slope_se, rel=1e-2)


def test_a_worked_slip_is_told_by_its_stage(lots):
    group = make_group()
    # The dilution of 10 to 250 mL left out on the way back: 12.00 % over 25.
    own = {
        "own_slope": "0.1988",
        "own_intercept": "0.0000",
        "own_unknown_mg_L": "1.200",
        "own_iron_percent": "0.4800",
    }

    send(group, own=own)

    (finding,) = Finding.objects.filter(
        code="worked_dilution_skipped", audience=Audience.GROUP
    )
    assert finding.stage == "flask"
    assert not finding.harmless


def test_a_right_worked_answer_is_left_alone(lots):
    group = make_group()
    own = {"own_unknown_mg_L": "1.200", "own_iron_percent": "12.00"}

    send(group, own=own)

    assert not any(code.startswith("worked_") for code in told(Audience.STAFF, group))


def test_classes_that_differ_in_assigned_values_tell_groups_the_very_same():
    def findings_of(assigned):
        bench = make_bench(code=f"C{assigned:.0f}", iron_percent=assigned)
        send(bench.group, percent_T={"3": 52.0, "U1": 44.0})
        return list(
            Finding.objects.filter(
                submission__group=bench.group, audience=Audience.GROUP
            )
            .order_by("code", "tube")
            .values("code", "tube", "probability", "numbers", "members")
        )

    assert findings_of(12.0) == findings_of(6.0) != []
