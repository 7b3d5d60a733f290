"""A station from its sticker, without any script."""

import pytest
from django.urls import reverse

from tests.factories import make_bench, make_station, slip_code
from tests.frontend.benches import sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench():
    bench = make_bench(slip=slip_code())
    make_station(bench.course, code="9", in_service=False)
    return bench


def sheet_after(client, code):
    answer = client.get(reverse("station-door", args=[code]), follow=True)
    return answer.content.decode()


def chosen(content):
    return [
        part.partition('"')[0]
        for part in content.split('<option value="')
        if " selected>" in part.partition("</option>")[0]
    ]


def test_the_station_is_chosen(client, bench):
    sign_in(client)

    assert chosen(sheet_after(client, "4")) == ["4"]


def test_the_choice_lasts_over_signing_in_and_no_longer(client, bench):
    client.get(reverse("station-door", args=["4"]))
    sign_in(client)

    once = client.get(reverse("bench-sheet"), follow=True).content.decode()
    again = client.get(reverse("bench-sheet"), follow=True).content.decode()

    assert (chosen(once), chosen(again)) == (["4"], [])


@pytest.mark.parametrize(
    ("code", "sentence"),
    [
        ("77", "Station 77 is not one of this course."),
        ("9", "Station 9 is out of service."),
        ("<b>", "Station &lt;b&gt; is not one of this course."),
    ],
)
def test_a_station_that_cannot_be_taken_says_why(client, bench, code, sentence):
    sign_in(client)

    content = sheet_after(client, code)

    assert sentence in content
    assert chosen(content) == []
