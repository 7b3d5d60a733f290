import re

import pytest
from django.urls import reverse

from results.models import PendingRecompute, Submission
from tests.factories import (
    NOW,
    make_course,
    make_section,
    make_staff,
    raw_submission,
    submit,
    worked_off,
)
from tests.frontend.benches import make_class

pytestmark = pytest.mark.django_db


@pytest.fixture
def section():
    return make_section(make_course())


@pytest.fixture
def assistant(client, section):
    client.force_login(make_staff("ben", role="assistant", section=section))
    return client


@pytest.fixture
def coordinator(client, section):
    client.force_login(make_staff("ada", course=section.course))
    return client


def page(client, name, *args):
    return client.get(reverse(name, args=args)).content.decode()


def test_the_title_of_a_section_says_who_wants_a_visit(assistant, section):
    groups = make_class(section, 3)
    submit(groups[0], raw_submission(percent_T={"3": 20.0}), key="again")
    worked_off()

    content = page(assistant, "section", section.pk)

    assert "<h1>One of three groups wants a visit</h1>" in content
    assert content.index("Group 1</a>") < content.index("Group 2</a>")


def test_all_pictures_of_a_section_are_on_one_scale(assistant, section):
    make_class(section, 2)
    worked_off()

    content = page(assistant, "section", section.pk)

    fits = re.findall(r'<line class="fit"[^>]*>', content)
    assert len(fits) == 2
    assert fits[0] == fits[1]


def test_states_have_a_word_and_a_shape(assistant, section):
    make_class(section, 2, submitted=False)

    content = page(assistant, "section", section.pk)

    assert "shape-not_sent" in content
    assert "not sent yet" in content


def test_a_section_refreshes_while_something_waits(assistant, section):
    make_class(section, 1)

    before = page(assistant, "section-wall", section.pk)
    worked_off()
    after = page(assistant, "section-wall", section.pk)

    assert "data-waiting" in before
    assert "data-waiting" not in after


def test_recoveries_are_left_out_where_the_course_hides_them(assistant, section):
    section.course.assistants_see_assigned = False
    section.course.save()
    make_class(section, 1)
    worked_off()

    content = page(assistant, "section", section.pk)

    assert "recovery" not in content


@pytest.mark.parametrize("name", ["section", "section-wall"])
def test_an_assistant_does_not_see_other_sections(assistant, section, name):
    other = make_section(section.course, "B1")

    answer = assistant.get(reverse(name, args=[other.pk]))

    assert answer.status_code == 404
    assert b"no such section among yours" in answer.content


def test_an_assistant_does_not_see_other_sections_groups(assistant, section):
    (group,) = make_class(make_section(section.course, "B1"), 1)

    assert assistant.get(reverse("group", args=[group.pk])).status_code == 404


def test_an_assistant_does_not_see_the_course_page(assistant, section):
    answer = assistant.get(reverse("course", args=[section.course.code]))

    assert answer.status_code == 404


def test_a_list_has_only_ones_own_sections(assistant, section):
    make_section(section.course, "B1")

    content = page(assistant, "staff-home")

    assert "Section A1" in content
    assert "Section B1" not in content


def test_a_group_page_shows_readings_of_every_revision(assistant, section):
    (group,) = make_class(section, 1)
    submit(group, raw_submission(percent_T={"1": 79.25}), key="again")
    worked_off()

    content = page(assistant, "group", group.pk)

    assert "Revision 2, counts" in content
    assert "<summary>Revision 1" in content
    assert ">79.2500<" in content


# session, user; duties; section with course; groups; students; current
# submissions with what hangs on them; findings; assigned values
SECTION_QUERIES = 9


@pytest.mark.parametrize("n_groups", [3, 30])
def test_a_section_costs_the_same_queries_however_many_groups(
    assistant, section, n_groups, django_assert_num_queries
):
    make_class(section, n_groups)
    worked_off()
    url = reverse("section", args=[section.pk])

    with django_assert_num_queries(SECTION_QUERIES):
        assistant.get(url)


def test_the_course_page_draws_slopes_and_recoveries(coordinator, section):
    make_class(section, 6)
    worked_off()

    content = page(coordinator, "course", section.course.code)

    assert '<script id="slopes-data" type="application/json">' in content
    assert "agrees with the assigned values" in content or "reads" in content


def test_the_answers_of_a_course_are_handed_over_as_a_table(coordinator, section):
    make_class(section, 2)
    worked_off()

    answer = coordinator.get(reverse("course-answers", args=[section.course.code]))

    head, *rows = answer.getvalue().decode().split("\r\n")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"].endswith('filename="IRON-1-answers.csv"')
    assert head.startswith("section,group,station,lot,slope")
    assert [row[:6] for row in rows] == ["A1,1,4", "A1,2,4", ""]


def test_the_answers_of_a_course_are_for_its_coordinators(assistant, section):
    answer = assistant.get(reverse("course-answers", args=[section.course.code]))

    assert answer.status_code == 404


def test_fewer_than_five_groups_claim_nothing(coordinator, section):
    make_class(section, 4)
    worked_off()

    content = page(coordinator, "course", section.course.code)

    assert "too few groups to tell" in content


def test_only_the_course_page_may_have_styles_in_it(coordinator, section):
    course = coordinator.get(reverse("course", args=[section.course.code]))
    other = coordinator.get(reverse("staff-home"))

    assert "style-src 'self' 'unsafe-inline'" in course["Content-Security-Policy"]
    assert "unsafe" not in other["Content-Security-Policy"]


def test_what_was_set_aside_can_be_tried_again(coordinator, section):
    make_class(section, 1)
    PendingRecompute.objects.update(
        parked_at=NOW, last_error="ValueError: no such step"
    )
    pending = PendingRecompute.objects.get()
    code = section.course.code

    shown = page(coordinator, "course", code)
    answer = coordinator.post(
        reverse("course-retry", args=[code]), {"pending": [pending.pk]}, follow=True
    )

    assert "no such step" in shown
    assert "1 submission is being tried again." in answer.content.decode()
    pending.refresh_from_db()
    assert pending.parked_at is None


def test_what_was_replaced_since_is_not_set_aside_any_more(coordinator, section):
    (group,) = make_class(section, 1)
    PendingRecompute.objects.update(parked_at=NOW, last_error="no such step")

    submit(group, raw_submission(percent_T={"1": 80.5}), key="again")

    assert "no such step" not in page(coordinator, "course", section.course.code)


def test_an_assistant_cannot_retry_or_import(assistant, section):
    make_class(section, 1)
    PendingRecompute.objects.update(parked_at=NOW)
    code = section.course.code

    retried = assistant.post(
        reverse("course-retry", args=[code]),
        {"pending": [PendingRecompute.objects.get().pk]},
    )
    imported = assistant.post(reverse("course-import", args=[code]))

    assert (retried.status_code, imported.status_code) == (404, 404)


def test_addresses_that_do_not_exist_answer_in_the_same_look(client):
    answer = client.get("/nowhere/")

    assert answer.status_code == 404
    assert b"There is no such page" in answer.content


def test_no_page_writes_anything_when_it_is_looked_at(coordinator, section):
    make_class(section, 1)
    before = list(Submission.objects.values())

    for name, args in (("section", [section.pk]), ("course", [section.course.code])):
        coordinator.get(reverse(name, args=args))

    assert list(Submission.objects.values()) == before


@pytest.mark.parametrize(
    ("n_groups", "submitted", "headline"),
    [
        (0, False, "Section A1 has no groups yet"),
        (1, False, "Nothing received yet from one group"),
        (2, True, "Two of two groups are waiting"),
        (13, True, "13 of 13 groups are waiting"),
    ],
)
def test_the_headline_of_a_section_fits_its_day(
    assistant, section, n_groups, submitted, headline
):
    make_class(section, n_groups, submitted=submitted)

    assert f"<h1>{headline}</h1>" in page(assistant, "section", section.pk)


def test_a_section_in_which_all_is_well_says_so(assistant, section):
    make_class(section, 2)
    worked_off()

    content = page(assistant, "section", section.pk)

    assert "<h1>No group wants a visit; all are computed</h1>" in content
