"""Staff can follow an answer, check its interval and see every tolerance."""

import pytest
from django.urls import reverse

from tests.factories import (
    make_bench,
    make_course,
    make_group,
    make_section,
    make_staff,
    submit,
    worked_off,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench():
    bench = make_bench()
    submit(bench.group)
    worked_off()
    return bench


@pytest.fixture
def assistant(client, bench):
    client.force_login(make_staff("ben", role="assistant", section=bench.section))
    return client


def page(client, name, *args):
    return client.get(reverse(name, args=args)).content.decode()


def test_the_title_of_a_computation_is_the_answer_and_its_limit(assistant, bench):
    content = page(assistant, "computation", bench.group.pk)

    headline = content.split("<h1>")[1].split("</h1>")[0]
    assert headline.startswith("12.0")
    assert "% iron, " in headline
    assert "limited by the" in headline


def test_a_computation_is_written_out_to_its_interval(assistant, bench):
    content = page(assistant, "computation", bench.group.pk)

    assert "<dt>Upper end of the 95 % interval</dt>" in content
    assert "b = Sxy / Sxx" in content


def test_the_molar_absorptivity_stands_beside_its_literature_value(assistant, bench):
    content = page(assistant, "computation", bench.group.pk)

    # W. B. Fortune and M. G. Mellon, Ind. Eng. Chem. Anal. Ed. 10 (1938) 60; from
    # memory.
    assert "11 100 L/(mol cm) at 508 nm" in content
    assert "from memory" in content


def test_without_a_class_the_scatter_is_the_groups_own(assistant, bench):
    content = page(assistant, "computation", bench.group.pk)

    assert "Own scatter only." in content


def test_a_check_names_its_clause_and_its_number_of_draws(assistant, bench):
    content = page(assistant, "computation-check", bench.group.pk)

    assert "JCGM 101:2008, clause 8" in content
    assert "draws of readings" in content
    assert content.count('<path class="span') == 2


def test_what_is_from_memory_is_said_of_every_tolerance(assistant, bench):
    content = page(assistant, "tolerances", bench.course.code)

    assert "quoted from memory" in content
    assert "100 mL flask" in content
    assert "balance_u_g" in content


def test_the_pages_lead_to_each_other(assistant, bench):
    group = page(assistant, "group", bench.group.pk)
    computation = page(assistant, "computation", bench.group.pk)

    assert reverse("computation", args=[bench.group.pk]) in group
    assert reverse("computation-check", args=[bench.group.pk]) in computation
    assert reverse("tolerances", args=[bench.course.code]) in computation


@pytest.mark.parametrize("name", ["computation", "computation-check"])
def test_an_assistant_of_another_section_follows_nothing(client, bench, name):
    other = make_section(bench.course, "B1")
    client.force_login(make_staff("cay", role="assistant", section=other))

    assert client.get(reverse(name, args=[bench.group.pk])).status_code == 404


def test_tolerances_are_for_staff_of_the_course(client, bench):
    other = make_course("IRON-2")
    client.force_login(make_staff("cay", course=other))

    assert client.get(reverse("tolerances", args=["IRON-1"])).status_code == 404


def test_a_group_without_an_answer_has_no_computation(assistant, bench):
    group = make_group(bench.section, "2")

    answer = assistant.get(reverse("computation", args=[group.pk]))

    assert answer.status_code == 404
    assert "no such group" in answer.content.decode()
