"""The invented course comes in once, through the doors that people use."""

import pytest

from results import intake, recompute
from results.management.seeding import seed_invented_course
from results.models import Answer, Course, Group, PendingRecompute, Submission, Vial
from results.policy.codes import in_parts, read_label
from tests.factories import NOW

pytestmark = pytest.mark.django_db


def test_the_invented_course_is_entered_and_can_be_computed():
    sign_in = seed_invented_course(now=NOW)

    recompute.work_off(clock=lambda: NOW)

    assert sign_in.is_new_course
    assert Group.objects.count() == 72
    assert Answer.objects.filter(reason="").count() > 50
    assert not PendingRecompute.objects.exists()


def test_every_vial_of_the_invented_course_has_a_check_sign():
    seed_invented_course(now=NOW)

    labels = Vial.objects.values_list("code", flat=True)

    assert Course.objects.get().vial_labels_checked
    assert [in_parts(read_label(code)) for code in labels] == list(labels)


def test_seeding_again_duplicates_nothing_and_keeps_the_slip():
    first = seed_invented_course(now=NOW)
    submissions = Submission.objects.count()

    second = seed_invented_course(now=NOW)

    assert not second.is_new_course
    assert second.slip_code == first.slip_code
    assert (Course.objects.count(), Submission.objects.count()) == (1, submissions)


def test_the_last_section_is_met_with_half_of_its_groups_done():
    sign_in = seed_invented_course(now=NOW)

    groups = Group.objects.filter(section__code=sign_in.section)

    assert groups.count() == 12
    assert 4 <= groups.filter(submissions__isnull=False).count() <= 8


def test_the_printed_slip_signs_in_a_group_with_nothing_sent_yet():
    sign_in = seed_invented_course(now=NOW)

    group = Group.objects.get(pk=intake.sign_in_group(sign_in.slip_code).group_id)

    assert (group.section.code, group.code) == (sign_in.section, sign_in.group)
    assert not group.submissions.exists()
