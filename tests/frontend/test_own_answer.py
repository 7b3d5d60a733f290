import pytest
from django.urls import reverse

from results.models import Submission
from tests.factories import (
    make_bench,
    raw_submission,
    slip_code,
    submit,
    worked_off,
)
from tests.frontend.benches import sign_in

pytestmark = pytest.mark.django_db

OURS = b"iron in your unknown, %"
ASKED = b"Now your own answer"


def open_bench(client, raw=None, **fields):
    bench = make_bench(slip=slip_code(), own_answer_first=True, **fields)
    submit(bench.group, raw)
    worked_off()
    sign_in(client)
    return bench


def result(client):
    return client.get(reverse("bench-result-current")).content


def give(client, key="own-1", **own):
    return client.post(reverse("bench-own-answer"), {"key": key, **own})


def test_line_and_one_sentence_come_at_once_and_then_the_question(client):
    open_bench(client)

    content = result(client)

    assert b'class="fit"' in content
    assert b"Nothing unusual was found" in content
    assert content.index(b'class="fit"') < content.index(ASKED)
    assert OURS not in content


def test_our_value_comes_after_the_groups_own(client):
    open_bench(client)

    answer = give(client, own_iron_percent="12,00")
    worked_off()
    content = client.get(answer.url).content

    assert answer.url == reverse("bench-result", args=[2])
    assert OURS in content
    assert ASKED not in content
    assert b"Your own working" in content


def test_the_own_answer_is_a_revision_with_the_same_readings(client):
    raw = raw_submission(left_out=["U2"], percent_T={"U2": None, "1": 80.5})
    open_bench(client, raw)

    give(client, own_iron_percent="12,00")

    first, second = Submission.objects.order_by("revision")
    columns = ("tube", "replicate", "value", "taken_mL")
    readings = [set(one.readings.values_list(*columns)) for one in (first, second)]
    assert readings[0] == readings[1]
    assert (first.station, first.vial) == (second.station, second.vial)
    assert (first.own_iron_percent, second.own_iron_percent) == ("", "12.00")
    assert second.is_current


def test_sending_the_own_answer_twice_is_one_revision(client):
    open_bench(client)

    urls = {give(client, own_iron_percent="12,00").url for _ in range(2)}

    assert urls == {reverse("bench-result", args=[2])}
    assert Submission.objects.count() == 2


def test_the_courses_policy_still_decides_when_ours_is_shown(client):
    open_bench(client, iron_shown="on_release")

    url = give(client, own_iron_percent="12,00").url
    worked_off()
    content = client.get(url).content

    assert OURS not in content
    assert b"shown when Iron, autumn releases it" in content


def test_a_course_may_show_ours_without_the_question(client):
    bench = open_bench(client)
    bench.course.own_answer_first = False
    bench.course.save()

    content = result(client)

    assert OURS in content
    assert ASKED in content


def test_after_release_nothing_waits_for_the_own_answer(client):
    bench = open_bench(client)
    bench.section.released_at = "2025-03-05T10:00Z"
    bench.section.save()

    assert OURS in result(client)


def test_a_number_that_is_none_is_said_beside_its_box(client):
    open_bench(client)

    answer = give(client, own_iron_percent="about 12", own_slope="0,20")
    content = answer.content.decode()

    assert answer.status_code == 422
    assert 'aria-invalid="true"' in content
    assert 'value="about 12"' in content
    assert 'value="0,20"' in content
    assert Submission.objects.count() == 1


def test_an_own_answer_without_readings_is_refused_with_a_sentence(client):
    make_bench(slip=slip_code())
    sign_in(client)

    answer = give(client, own_iron_percent="12,00")

    assert answer.status_code == 404
    assert b"Send your readings first" in answer.content


def test_a_late_own_answer_is_marked_late_and_not_lost(client):
    bench = open_bench(client)
    bench.section.due_at = "2025-03-04T14:30Z"
    bench.section.save()

    url = give(client, own_iron_percent="12,00").url

    assert Submission.objects.get(revision=2).is_late
    assert b"</span>late</span>" in client.get(url).content


def test_a_closed_section_takes_no_own_answer_and_says_so(client):
    bench = open_bench(client)
    bench.section.closes_at = "2025-03-04T14:30Z"
    bench.section.save()

    answer = give(client, own_iron_percent="12,00")

    assert answer.status_code == 422
    assert b"closed on 4 March" in answer.content


def test_an_empty_answer_is_asked_for_again(client):
    open_bench(client)

    answer = give(client)

    assert answer.status_code == 422
    assert b"Give at least one number" in answer.content
    assert Submission.objects.count() == 1
