"""Pages to print: slips shown once, stickers of stations."""

import re

import pytest
from django.urls import reverse

from results import intake
from results.models import Group
from tests.factories import PASSWORD, make_bench, make_group, make_staff, slip_code

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench():
    return make_bench(slip=slip_code())


@pytest.fixture
def assistant(client, bench):
    make_staff("ben", role="assistant", section=bench.section)
    client.login(username="ben", password=PASSWORD)
    return client


def slips_page(section):
    return reverse("section-slips", args=[section.pk])


def seen_on(client, section):
    content = client.get(slips_page(section)).content.decode()
    return re.search(r'name="seen" value="(\w+)"', content)[1]


def ask_for(client, section, groups, **changes):
    form = {"group": [group.pk for group in groups], "seen": seen_on(client, section)}
    return client.post(slips_page(section), form | changes)


def codes_on(answer):
    return re.findall(r"data-slip-code>([\w-]+)<", answer.content.decode())


def test_a_printed_slip_signs_its_group_in(assistant, bench):
    answer = ask_for(assistant, bench.section, [bench.group])

    (code,) = codes_on(answer)
    assert intake.sign_in_group(code).group_id == bench.group.pk
    assert "no-store" in answer["Cache-Control"]


def test_a_code_is_on_no_page_but_the_one_to_print(assistant, bench):
    (code,) = codes_on(ask_for(assistant, bench.section, [bench.group]))

    content = assistant.get(slips_page(bench.section)).content.decode()

    assert code not in content
    assert code.replace("-", "") not in content


def test_groups_without_a_slip_are_chosen_from_the_start(assistant, bench):
    bare = make_group(bench.section, "2")

    content = assistant.get(slips_page(bench.section)).content.decode()

    chosen = re.findall(r'name="group" value="(\d+)" checked', content)
    assert chosen == [str(bare.pk)]


def test_a_page_sent_again_makes_no_other_slips(assistant, bench):
    seen = seen_on(assistant, bench.section)
    (code,) = codes_on(ask_for(assistant, bench.section, [bench.group], seen=seen))

    again = ask_for(assistant, bench.section, [bench.group], seen=seen)

    assert again.status_code == 422
    assert b"were made since you opened this page" in again.content
    assert intake.sign_in_group(code).group_id == bench.group.pk


def test_nobody_chosen_is_said(assistant, bench):
    answer = ask_for(assistant, bench.section, [])

    assert answer.status_code == 422
    assert b"Choose the groups that need a slip." in answer.content


def test_a_slip_carries_what_the_bench_writes_down(assistant, bench):
    content = ask_for(assistant, bench.section, [bench.group]).content.decode()

    assert f'Vial <b class="number">{bench.vial.code}</b>' in content
    for blank in ("Unknown weighed, g", "Issued by", "Received by"):
        assert blank in content


def test_slips_of_another_section_are_not_to_be_had(client, bench):
    make_staff("eve", role=None)
    client.login(username="eve", password=PASSWORD)

    assert client.get(slips_page(bench.section)).status_code == 404
    assert client.post(slips_page(bench.section), {"group": "1"}).status_code == 404
    assert intake.sign_in_group(slip_code()).group_id == bench.group.pk


def test_stickers_show_every_station_to_staff_of_the_course_only(client, bench):
    page = reverse("station-stickers", args=[bench.course.code])
    make_staff("ben", role="assistant", section=bench.section)
    make_staff("eve", role=None)

    client.login(username="ben", password=PASSWORD)
    mine = client.get(page)
    client.login(username="eve", password=PASSWORD)

    assert mine.content.decode().count("<svg") == 1
    assert "out of service" not in mine.content.decode()
    assert client.get(page).status_code == 404


@pytest.mark.parametrize("n_groups", [1, 12])
def test_slips_take_the_same_queries_however_many_groups(
    assistant, bench, n_groups, django_assert_max_num_queries
):
    for number in range(2, n_groups + 1):
        make_group(bench.section, str(number), students=(f"P. {number}",))
    groups, seen = list(Group.objects.all()), seen_on(assistant, bench.section)
    form = {"group": [group.pk for group in groups], "seen": seen}

    # session, user, duties; seven to make them, with two points to go back to;
    # section, groups, students, vials
    with django_assert_max_num_queries(16):
        answer = assistant.post(slips_page(bench.section), form)

    assert len(codes_on(answer)) == n_groups
