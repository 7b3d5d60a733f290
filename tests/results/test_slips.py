"""New slips for a section: printed once, and never by mistake a second time."""

import pytest

from results import intake
from results.models import Group
from results.policy.access import Rights
from results.policy.refusals import (
    NotAdmitted,
    NotFound,
    NothingChosen,
    SlipsChanged,
)
from results.rosters import issue_section_slips, issue_slip
from results.summaries.paper import section_slips
from tests.factories import NOW, make_group, make_section, slip_code

pytestmark = pytest.mark.django_db


@pytest.fixture
def section():
    section = make_section()
    for number in (1, 2, 3):
        make_group(section, str(number), slip=slip_code(number))
    return section


def rights(section):
    return Rights(assisted=frozenset({section.pk}))


def mark(section):
    return section_slips(section.pk, rights=rights(section)).mark


def issue(section, groups, *, seen=None, by=None):
    return issue_section_slips(
        section.pk,
        group_ids=[group.pk for group in groups],
        rights=by or rights(section),
        seen=seen or mark(section),
        now=NOW,
    )


def test_new_slips_sign_in_and_end_the_former_ones(section):
    first, second, _ = Group.objects.order_by("code")

    codes = issue(section, [first, second])

    assert {intake.sign_in_group(code).group_id for code in codes.values()} == set(
        codes
    )
    with pytest.raises(NotAdmitted):
        intake.sign_in_group(slip_code(1))


def test_slips_that_were_not_asked_for_stay_valid(section):
    first, _, third = Group.objects.order_by("code")

    issue(section, [first])

    assert intake.sign_in_group(slip_code(3)).group_id == third.pk


def test_a_page_that_is_sent_twice_ends_no_slip_that_it_printed(section):
    groups = Group.objects.all()
    seen = mark(section)
    codes = issue(section, groups, seen=seen)

    with pytest.raises(SlipsChanged):
        issue(section, groups, seen=seen)

    assert {intake.sign_in_group(code).group_id for code in codes.values()} == set(
        codes
    )


def test_nobody_chosen_makes_nothing(section):
    with pytest.raises(NothingChosen):
        issue(section, [])


def test_groups_of_another_section_get_no_slip(section):
    stranger = make_group(make_section(code="B2"), "1")

    with pytest.raises(NothingChosen):
        issue(section, [stranger])


@pytest.mark.parametrize("stranger", [Rights(), Rights(assisted=frozenset({10**6}))])
def test_only_who_stands_in_the_section_makes_its_slips(section, stranger):
    with pytest.raises(NotFound):
        issue(section, Group.objects.all(), by=stranger)


def test_a_code_that_another_group_has_is_drawn_anew(section):
    first, second, _ = Group.objects.order_by("code")
    draws = iter([0] * 8)
    issue_slip(first.pk, now=NOW, draw_below=lambda _: next(draws))
    again = iter([0] * 8 + [1] * 8)

    code = issue_slip(second.pk, now=NOW, draw_below=lambda _: next(again))

    assert intake.sign_in_group(code).group_id == second.pk


@pytest.mark.parametrize("n_groups", [3, 12])
def test_a_section_of_any_size_gets_its_slips_in_the_same_queries(
    section, n_groups, django_assert_num_queries
):
    for number in range(4, n_groups + 1):
        make_group(section, str(number))
    groups, seen = list(Group.objects.all()), mark(section)

    # savepoint, section, groups, savepoint, update, both savepoints released
    with django_assert_num_queries(7):
        issue(section, groups, seen=seen)
