"""Vials issued by command."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from results.models import Issue
from tests.factories import make_course
from tests.results.issued import make_prepared

pytestmark = pytest.mark.django_db


@pytest.fixture
def course():
    return make_prepared(lots=4)


def run(*args):
    out = StringIO()
    call_command("issue_vials", *args, stdout=out)
    return out.getvalue()


def test_a_course_is_issued_and_the_seed_is_said(course):
    out = run("IRON-1", "--seed", "5")

    assert "8 vials issued with seed 5" in out
    assert Issue.objects.live().count() == 8
    assert set(Issue.objects.values_list("by_id", "by_name")) == {(None, "issue_vials")}


def test_a_dry_run_says_what_would_be_issued_and_issues_nothing(course):
    dry = run("IRON-1", "--seed", "5", "--dry-run")
    assert not Issue.objects.exists()

    done = run("IRON-1", "--seed", "5")

    assert "A1\t1\t" in dry
    assert dry.splitlines()[:8] == done.splitlines()[:8]


def test_only_the_sections_named_are_served(course):
    run("IRON-1", "--section", "A2")

    assert set(Issue.objects.values_list("group__section__code", flat=True)) == {"A2"}


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["IRON-1", "--section", "B9"], "no section B9"),
        (["IRON-1", "--seed", "-1"], "whole number"),
        (["nowhere"], "no course nowhere"),
    ],
)
def test_what_cannot_be_meant_is_named(course, args, words):
    with pytest.raises(CommandError, match=words):
        run(*args)


def test_a_course_without_vials_says_so_and_nothing_is_issued():
    make_prepared(course=make_course("IRON-2"), vials=0)

    with pytest.raises(CommandError, match="No free vial is left"):
        run("IRON-2")

    assert not Issue.objects.exists()


def test_all_in_hand_already_is_said(course):
    run("IRON-1")

    with pytest.raises(CommandError, match="every group has its vial"):
        run("IRON-1")
