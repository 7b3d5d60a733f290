import re

import pytest
from django.urls import reverse

from results.models import Submission
from tests.factories import make_bench, raw_submission, slip_code, submit
from tests.frontend.benches import sign_in, typed_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(client):
    bench = make_bench(slip=slip_code())
    sign_in(client)
    return bench


def send(client, **changes):
    return client.post(reverse("bench-sheet"), typed_sheet(**changes))


def test_a_blank_is_not_asked_for(client, bench):
    send(client, **{"tube-7": "blank", "replicate-7": "1", "value-7": ""})

    tubes = Submission.objects.get().readings.values_list("tube", flat=True)
    assert "blank" not in tubes


def test_a_blank_read_elsewhere_survives_a_revision(client, bench):
    raw = raw_submission(percent_T={"blank": 99.75})
    submit(bench.group, raw)

    content = client.get(reverse("bench-sheet")).content
    form = {
        name: value
        for name, value in re.findall(
            r'name="([\w-]+)" value="([^"]*)"', content.decode()
        )
        if name.startswith(("tube-", "replicate-", "value-"))
    }
    send(client, key="another", **form)

    blank = Submission.objects.get(is_current=True).readings.get(tube="blank")
    assert blank.value == 99.75


def test_a_blank_is_read_first_and_again_before_the_unknown(client, bench):
    content = client.get(reverse("bench-sheet")).content.decode()

    kinds = re.findall(r'data-kind="(\w+)"', content)
    assert kinds == ["blank", *["standard"] * 5, "blank", "unknown", "unknown"]
    assert 'name="left_out" value="blank"' not in content


def test_both_readings_of_the_blank_are_kept_in_their_order(client, bench):
    rows = {"tube-7": "blank", "replicate-7": "1", "value-7": "100"}
    rows |= {"tube-8": "blank", "replicate-8": "2", "value-8": "98,5"}

    send(client, **rows)

    readings = Submission.objects.get().readings.filter(tube="blank")
    in_order = readings.order_by("replicate").values_list("value", flat=True)
    assert list(in_order) == [100, 98.5]


def test_a_blank_read_only_before_the_unknown_stays_in_that_box(client, bench):
    send(client, **{"tube-7": "blank", "replicate-7": "2", "value-7": "98,5"})

    content = client.get(reverse("bench-sheet")).content.decode()

    tubes = re.findall(r'name="tube-(\d+)" value="blank"', content)
    values = dict(re.findall(r'name="value-(\d+)" value="([^"]*)"', content))
    assert [values[i] for i in tubes] == ["", "98.5", ""]
