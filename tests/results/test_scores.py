"""z' and zeta of groups and sections (ISO 13528:2015, 9.5 and 9.6)."""

import math

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from results.models import Answer
from results.policy.refusals import NotFound
from results.summaries.scores import course_scores
from tests.factories import actor, make_staff
from tests.results.grading.classes import make_graded

pytestmark = pytest.mark.django_db
# A group's relative errors in percent by number; the last is far off.
ERRORS = [-1.0, -0.5, 0.0, 0.5, 1.0, 12.0]


@pytest.fixture
def scored():
    section, groups = make_graded(len(ERRORS), 0)
    for group, error in zip(groups, ERRORS, strict=True):
        Answer.objects.filter(submission__group=group).update(
            iron_percent=12.0 * (1 + error / 100), standard_uncertainty=0.06
        )
    return section


@pytest.fixture
def ada(scored):
    return actor(make_staff("ada", course=scored.course))


def test_zeta_is_the_error_over_both_uncertainties(ada):
    found = course_scores("IRON-1", rights=ada.rights)

    # By hand: lots of 12.00 % with u = 0.04 %, answers with u = 0.06 %.
    expected = [12 * e / 100 / math.sqrt(0.06**2 + 0.04**2) for e in ERRORS]
    assert [one.zeta for one in found.groups] == pytest.approx(expected)


def test_z_prime_is_the_error_over_spread_and_assigned_uncertainty(ada):
    found = course_scores("IRON-1", rights=ada.rights)

    width = math.hypot(found.groups_sigma_pt, 100 * 0.04 / 12)
    assert [one.z_prime for one in found.groups] == pytest.approx(
        [error / width for error in ERRORS]
    )
    # The one far off does not stretch the measure by which it is judged.
    assert found.groups_sigma_pt < 3
    assert found.groups[-1].judgement == "action signal"
    assert found.groups[2].judgement == "acceptable"


def test_a_section_is_scored_by_its_robust_mean_from_five_groups_on(ada):
    (section,) = course_scores("IRON-1", rights=ada.rights).sections

    assert section.n == len(ERRORS)
    assert abs(section.error) < 1.5
    assert section.zeta == pytest.approx(
        section.error / math.hypot(section.u_error, section.u_assigned)
    )
    # One section has no others to be compared with.
    assert section.z_prime is None
    assert section.judgement is None


def test_few_groups_get_no_z_prime_and_their_section_no_score():
    section, _ = make_graded(4, 0)
    ada = actor(make_staff("ada", course=section.course))

    found = course_scores("IRON-1", rights=ada.rights)

    assert found.sections == ()
    assert [one.z_prime for one in found.groups] == [None] * 4
    assert all(one.zeta is not None for one in found.groups)


def test_only_coordinators_see_scores(scored):
    ben = actor(make_staff("ben", role="assistant", section=scored))

    with pytest.raises(NotFound):
        course_scores("IRON-1", rights=ben.rights)


@pytest.mark.parametrize("size", [3, 30])
def test_the_number_of_queries_is_the_same_for_any_class(size):
    section, _ = make_graded(size, 0)
    ada = actor(make_staff("ada", course=section.course))

    with CaptureQueriesContext(connection) as queries:
        course_scores("IRON-1", rights=ada.rights)

    # course; lots within values; answers
    assert len(queries) == 4
