"""What went wrong is said where it helps: at the bench, on paper, over a course."""

import pytest
from django.urls import reverse

from results.models import Finding, Submission
from results.models.outcomes import Audience
from tests.factories import (
    make_bench,
    make_group,
    make_staff,
    raw_submission,
    slip_code,
    submit,
    worked_off,
)
from tests.frontend.benches import make_class, sign_in

pytestmark = pytest.mark.django_db
RIGHT = {"own_unknown_mg_L": "1.200", "own_iron_percent": "12.00"}
# The dilution of 10 to 250 mL left out on the way back: 12.00 % over 25.
SKIPPED = {
    "own_slope": "0.1988",
    "own_intercept": "0.0000",
    "own_unknown_mg_L": "1.200",
    "own_iron_percent": "0.4800",
}


@pytest.fixture
def bench():
    return make_bench(slip=slip_code())


def own_page(client, bench, raw):
    submit(bench.group, raw)
    worked_off()
    sign_in(client)
    return client.get(reverse("bench-result-current")).content.decode()


def seen_by(client, user, name, *args):
    client.force_login(user)
    return client.get(reverse(name, args=args)).content.decode()


def find(group, code, **fields):
    """Store a finding for staff beside what was computed."""
    fields = {"audience": Audience.STAFF, "probability": 0.9, **fields}
    submission = Submission.objects.get(group=group, is_current=True)
    return Finding.objects.create(submission=submission, code=code, **fields)


def test_a_group_is_told_one_thing_to_check_first(client, bench):
    content = own_page(client, bench, raw_submission(percent_T={"3": 45.0}))

    first, *rest = content.split("If that is not it")
    assert first.count("<li>") - first.count("<li class") == 1
    assert "Tube 3 does not sit with the others" in first
    assert rest


def test_a_group_sees_its_line_without_the_suspect(client, bench):
    content = own_page(client, bench, raw_submission(percent_T={"3": 45.0}))

    assert '<line class="fit without"' in content
    assert "dashed: the line without tube 3" in content


def test_a_line_without_a_suspect_is_the_line_of_the_others(client, bench):
    content = own_page(client, bench, raw_submission(percent_T={"3": 45.0}))

    # The other readings are perfect, so their line has the slope they were made of.
    assert 'slope without tube 3, L/mg</dt><dd class="number">0.1988' in content


def test_nothing_found_is_said_plainly(client, bench):
    content = own_page(client, bench, raw_submission())

    assert "Nothing unusual was found in your readings." in content
    assert "Your own working" not in content


def test_a_working_that_agrees_is_said_to_agree(client, bench):
    content = own_page(client, bench, raw_submission(own=RIGHT))

    assert "Your working agrees with your readings." in content


def test_a_slip_on_paper_is_told_by_its_step_and_apart(client, bench):
    content = own_page(client, bench, raw_submission(own=SKIPPED))

    assert "one step of your working to check" in content
    assert "Look at the way back to the first flask." in content
    assert "Nothing unusual was found in your readings." in content


@pytest.mark.parametrize("own", [RIGHT, SKIPPED])
def test_a_checked_working_shows_no_value_that_is_kept_back(client, own):
    bench = make_bench(slip=slip_code(), iron_shown="on_release")

    content = own_page(client, bench, raw_submission(own=own))

    assert "12.0" not in content.split("</h1>")[1]
    assert "is shown when" in content


def test_a_harmless_slip_does_not_change_the_answer(client, bench):
    submit(bench.group, raw_submission(own=RIGHT))
    worked_off()
    find(
        bench.group,
        "worked_natural_log",
        audience=Audience.GROUP,
        stage="line",
        harmless=True,
    )
    sign_in(client)

    content = client.get(reverse("bench-result-current")).content.decode()

    assert "It does not change your answer." in content


def test_a_group_is_not_told_what_staff_are(client, bench):
    submit(bench.group)
    worked_off()
    find(bench.group, "other_lot")
    sign_in(client)

    content = client.get(reverse("bench-result-current")).content.decode()

    assert "Your line stands; nothing to check" in content


def test_what_cannot_be_told_is_said_so(client, bench):
    submit(bench.group)
    worked_off()
    find(bench.group, "unexplained", audience=Audience.GROUP)
    sign_in(client)

    content = client.get(reverse("bench-result-current")).content.decode()

    assert "Something does not fit; we cannot tell what" in content


def test_staff_see_how_likely_a_finding_is_and_what_to_try(client, bench):
    submit(bench.group, raw_submission(percent_T={"3": 45.0}))
    worked_off()
    user = make_staff("ben", role="assistant", section=bench.section)

    content = seen_by(client, user, "group", bench.group.pk)

    assert "very likely, over 99%" in content
    assert "is off the line of the others" in content
    assert '<line class="fit without"' in content


def test_only_coordinators_read_what_a_pattern_would_mean(client, bench):
    submit(bench.group, raw_submission(percent_T={"3": 45.0}))
    worked_off()
    assistant = make_staff("ben", role="assistant", section=bench.section)
    coordinator = make_staff("ada", course=bench.course)
    pattern = "The same tube off in many groups"

    assert pattern not in seen_by(client, assistant, "group", bench.group.pk)
    assert pattern in seen_by(client, coordinator, "group", bench.group.pk)


def test_each_number_of_a_working_has_its_verdict(client, bench):
    own = {**SKIPPED, "own_iron_mg": "1.200"}
    submit(bench.group, raw_submission(own=own))
    worked_off()
    user = make_staff("ben", role="assistant", section=bench.section)

    content = seen_by(client, user, "group", bench.group.pk)

    # 30.00 mg are in the flask; 1.200 mg is a slip, and 0.4800 % follows from it.
    verdicts = content.split("Each number against")[1].split("</table>")[0]
    assert verdicts.count("<td>right</td>") == 3
    assert verdicts.count("<td>does not follow</td>") == 1
    assert verdicts.count("<td>right, given the number before it</td>") == 1


def test_a_slip_on_paper_stands_apart_and_asks_for_no_visit(client, bench):
    submit(bench.group, raw_submission(own=SKIPPED))
    worked_off()
    user = make_staff("ben", role="assistant", section=bench.section)

    content = seen_by(client, user, "section", bench.section.pk)

    assert "No group wants a visit" in content
    assert "on paper: A dilution left out" in content


def test_a_mass_equal_to_the_plans_is_asked_after_and_no_more(client, bench):
    """Honest masses equal the plan's now and then: one in some three hundred."""
    submit(bench.group, raw_submission())
    worked_off()
    find(bench.group, "nominal_mass", probability=0.7)
    user = make_staff("ada", course=bench.course)

    section = seen_by(client, user, "section", bench.section.pk)
    group = seen_by(client, user, "group", bench.group.pk)
    course = seen_by(client, user, "course", bench.course.code)

    assert "No group wants a visit" in section
    said = group.split("Please check the mass")[1].split("</li>")[0]
    assert "It may be honest" in said
    assert "likely" not in said
    assert "70" not in said
    assert "Please check the mass" not in course


def test_a_slip_that_most_of_a_section_share_points_at_the_handout(client, bench):
    groups = make_class(bench.section, 6, first=2)
    for number, group in enumerate(groups):
        own = RIGHT if number == 0 else SKIPPED
        submit(group, raw_submission(own=own), key="own")
    worked_off()
    user = make_staff("ada", course=bench.course)

    content = seen_by(client, user, "course", bench.course.code)

    assert "Section A1: A dilution left out, 5 of 6 worked answers" in content
    assert "mend the handout or the briefing" in content


def test_four_groups_with_the_same_slip_say_nothing_of_the_handout(client, bench):
    for group in make_class(bench.section, 4, first=2):
        submit(group, raw_submission(own=SKIPPED), key="own")
    worked_off()
    user = make_staff("ada", course=bench.course)

    content = seen_by(client, user, "course", bench.course.code)

    assert "A dilution left out" in content
    assert "mend the handout" not in content


def test_what_asks_for_a_word_is_listed_with_its_groups(client, bench):
    other = make_group(bench.section, "2")
    for group in (bench.group, other):
        submit(group)
    worked_off()
    Finding.objects.all().delete()
    find(bench.group, "other_lot", probability=0.5)
    find(other, "other_lot", probability=0.04)
    user = make_staff("ada", course=bench.course)

    content = seen_by(client, user, "course", bench.course.code)

    bench_slips, word = content.split("Found on paper")[0].split("Worth a word")
    assert "Agrees with another lot" not in bench_slips
    assert "ask to see both vials" in word
    assert "A1, group 1</a>" in word
    assert "A1, group 2</a>" not in word
