"""Grading in a browser: few actions, two people at once, a finger that hits twice."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from results import grading
from results.models import Grade, GradeEvent
from tests.factories import NOW, actor, make_staff
from tests.frontend.browsers import sign_in, staff_sign_in, violations
from tests.frontend.chromium import DESK, NEEDS_BROWSER, PHONE
from tests.frontend.test_barriers import pages_wider_than
from tests.results.grading.classes import grade_of, make_graded, versions

pytestmark = NEEDS_BROWSER
MOST_ACTIONS = 12


class Person:
    """Somebody at the desk, who counts what they do."""

    def __init__(self, tab):
        self.tab = tab
        self.actions = 0

    def open(self, name, *args):
        self.actions += 1
        self.tab.goto(reverse(name, args=args))

    def click(self, name):
        self.actions += 1
        with self.tab.expect_navigation():
            self.tab.get_by_role("button", name=name).first.click()

    def press(self, key, *, leads_on=False):
        self.actions += 1
        if not leads_on:
            self.tab.keyboard.press(key)
            return
        with self.tab.expect_navigation():
            self.tab.keyboard.press(key)

    def fill(self, label, text):
        self.actions += 1
        self.tab.get_by_label(label).locator("visible=true").first.fill(text)


def test_a_section_of_24_is_graded_and_released_in_12_actions(tab):
    section, _ = make_graded(20, 4)
    make_staff("ben", role="assistant", section=section)
    staff_sign_in(tab, "ben")
    ben = Person(tab)

    ben.open("grading", section.pk)
    ben.click("Accept 20 with nothing to look at")
    ben.press("j")
    ben.press("Enter", leads_on=True)
    ben.press("Enter", leads_on=True)
    ben.press("Enter", leads_on=True)
    ben.press("o")
    ben.fill("Points by hand", "14")
    ben.fill("Why they differ", "the page has the right reading")
    ben.press("Enter", leads_on=True)
    ben.click("Release to the groups")

    assert ben.actions <= MOST_ACTIONS
    assert tab.locator("h1").inner_text() == "All 24 are released"
    assert Grade.objects.filter(state="released").count() == 24
    assert sorted({int(grade.final_points) for grade in Grade.objects.all()}) == [
        12,
        14,
        20,
    ]
    assert tab.complaints == []


def test_a_double_click_on_release_releases_once(tab):
    section, _ = make_graded(3, 0)
    make_staff("ben", role="assistant", section=section)
    staff_sign_in(tab, "ben")
    ben = Person(tab)
    ben.open("grading", section.pk)
    ben.click("Accept 3 with nothing")

    tab.get_by_role("button", name="Release to the groups").dblclick()
    tab.get_by_text("All three are released").wait_for()

    assert GradeEvent.objects.filter(kind="released").count() == 3


def test_two_browsers_editing_one_grade_lose_nothing(tab):
    section, (group, *_) = make_graded(1, 0)
    make_staff("ben", role="assistant", section=section)
    cleo = actor(make_staff("cleo", role="assistant", section=section))
    staff_sign_in(tab, "ben")
    tab.goto(reverse("grading", args=[section.pk]))
    # Cleo's browser is quicker.
    grading.override_grade(
        group.pk, points="17", reason="saw it", seen=0, actor=cleo, now=NOW
    )

    tab.locator("summary", has_text="Details of group 1").click()
    tab.get_by_label("Points by hand").fill("18")
    tab.get_by_label("Why they differ").fill("saw it too")
    tab.get_by_role("button", name="Set the points").click()
    problem = tab.locator("[data-grade] .problem").inner_text()

    assert "group 1 was changed by cleo" in problem
    expect(tab.get_by_label("Points by hand")).to_have_value("18")
    assert grade_of(group).final_points == 17


def test_a_report_of_24_groups_prints_on_two_pages_at_most(tab):
    section, _ = make_graded(20, 4)
    make_staff("ben", role="assistant", section=section)
    staff_sign_in(tab, "ben")
    tab.goto(reverse("grading-report", args=[section.pk]))

    printed = tab.pdf(format="A4")

    # One object of this type for each page (ISO 32000-1, 7.7.3.3).
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) in {1, 2}


def test_every_button_works_without_scripts(chromium, live_server):
    section, _ = make_graded(1, 1)
    make_staff("ben", role="assistant", section=section)
    context = chromium.new_context(
        viewport=DESK, base_url=live_server.url, java_script_enabled=False
    )
    tab = context.new_page()
    staff_sign_in(tab, "ben")
    tab.goto(reverse("grading", args=[section.pk]))

    tab.locator("[name=chosen]").first.check()
    tab.get_by_role("button", name="Accept the ticked ones").click()
    tab.get_by_role("button", name="Accept 1 with nothing").click()
    tab.get_by_role("button", name="Release to the groups").click()
    title = tab.locator("h1").inner_text()
    context.close()

    assert title == "All two are released"


def test_rows_that_are_sorted_keep_their_details(tab):
    section, groups = make_graded(2, 1)
    make_staff("ben", role="assistant", section=section)
    staff_sign_in(tab, "ben")
    tab.goto(reverse("grading", args=[section.pk]))

    heading = tab.locator("th", has_text="points of").first
    heading.get_by_role("button").click()
    heading.get_by_role("button").click()
    tab.reload()

    bodies = tab.locator("[data-grade]")
    assert bodies.last.get_attribute("id") == f"g-{groups[2].pk}"
    assert "Details of group 3" in bodies.last.inner_text()
    assert heading.get_attribute("aria-sort") == "descending"


def test_a_group_reads_its_grade_asks_and_is_answered(tab):
    section, (group, *_) = make_graded(0, 1)
    ben = actor(make_staff("ben", role="assistant", section=section))
    seen = versions(section)
    grading.accept_grades(section.pk, seen=seen, actor=ben, now=NOW)
    sign_in(tab)
    tab.goto(reverse("bench-result-current"))
    before = tab.locator("#grade").count()
    seen = versions(section)
    grading.release_section(section.pk, seen=seen, actor=ben, now=NOW)

    tab.reload()
    tab.locator("summary", has_text="Ask for a re-check").click()
    tab.get_by_label("What should be looked at").fill("Tube 3 was read twice.")
    tab.get_by_role("button", name="Ask", exact=True).click()
    tab.get_by_text("Not answered yet.").wait_for()
    request = grade_of(group).rechecks.get()
    grading.answer_recheck(request.pk, answer="It stays.", actor=ben, now=NOW)
    tab.reload()

    assert before == 0
    words = tab.locator("#grade").inner_text()
    for expected in ("12 of 20 points", "lost at the bench", "6", "It stays."):
        assert expected in words


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_of_grading_have_no_barrier(tab, scheme):
    section, groups = make_graded(2, 1)
    ada = make_staff("ada", course=section.course)
    tab.emulate_media(color_scheme=scheme)
    staff_sign_in(tab, "ada")
    found = []
    for address in addresses(section, groups):
        tab.goto(address)
        tab.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        found += violations(tab)
    seen = versions(section)
    grading.accept_grades(section.pk, seen=seen, actor=actor(ada), now=NOW)
    seen = versions(section)
    grading.release_section(section.pk, seen=seen, actor=actor(ada), now=NOW)
    sign_in(tab)
    tab.goto(reverse("bench-result-current"))
    tab.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    found += violations(tab)

    assert found == []
    assert tab.complaints == []


def addresses(section, groups):
    code = section.course.code
    return [
        reverse("grading", args=[section.pk]),
        reverse("grading-report", args=[section.pk]),
        reverse("grade-history", args=[groups[0].pk]),
        reverse("grading-scheme", args=[code]),
        reverse("allowances", args=[code]),
    ]


# 390 px is a common phone; 320 px is what WCAG 2.2 asks for (criterion 1.4.10).
@pytest.mark.parametrize("width", [390, 320])
def test_no_page_of_grading_is_wider_than_a_phone(tab, width):
    section, groups = make_graded(2, 1)
    ada = actor(make_staff("ada", course=section.course))
    grading.mark_seen(groups[0].pk, seen=0, actor=ada, now=NOW)
    staff_sign_in(tab, "ada")

    assert pages_wider_than(tab, addresses(section, groups), width) == []


def test_things_to_press_are_large_enough_for_a_thumb(tab):
    section, _ = make_graded(1, 1)
    make_staff("ben", role="assistant", section=section)
    staff_sign_in(tab, "ben")
    tab.set_viewport_size(PHONE)
    tab.goto(reverse("grading", args=[section.pk]))

    heights = tab.locator("main button:visible, main summary:visible").evaluate_all(
        "all => all.map(one => one.getBoundingClientRect().height)"
    )

    assert min(heights) >= 44
