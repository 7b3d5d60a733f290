"""Pages of policies, sections and stations."""

import pytest

from results.models import Course, Group, Section, Station
from tests.factories import (
    make_bench,
    make_section,
    make_vial,
    submit,
    worked_off,
)
from tests.frontend.prepared import filled, page, press, text

pytestmark = pytest.mark.django_db


def test_policies_are_kept_and_what_they_mean_is_said(ada):
    assert "finds a box in place of our number" in text(page(ada, "prepare-policies"))

    press(ada, "prepare-policies", iron_shown="on_release", error_shown="on")

    course = Course.objects.get()
    assert (course.iron_shown, course.error_shown) == ("on_release", True)
    assert course.assistants_see_assigned is False


def test_policies_that_would_shut_groups_out_are_refused(ada):
    make_vial(code="417")

    answer = press(
        ada, "prepare-policies", iron_shown="at_once", vial_labels_checked="on"
    )

    assert answer.status_code == 422
    assert "417" in text(answer)


WEEK = {
    "first_week": "2026-10-05",
    "meetings": "Mon 09:00\nMon 14:00\nTue 09:00",
    "first_code": "A1",
    "groups": "4",
    "due_after_days": "7",
    "closes_after_days": "",
}


def test_sections_are_looked_at_then_made(ada):
    shown = press(ada, "prepare-sections", **WEEK, look="1")
    assert "Three sections would be made" in text(shown)
    assert not Section.objects.exists()

    press(ada, "prepare-sections", **WEEK, make="1")

    assert Section.objects.count() == 3
    assert Group.objects.count() == 12
    assert "Three sections" in text(page(ada, "prepare-sections"))


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"first_week": ""}, "first_week"),
        ({"meetings": "whenever"}, "meetings"),
        ({"groups": "many"}, "groups"),
        ({"closes_after_days": "3"}, "closes_after_days"),
    ],
)
@pytest.mark.parametrize("button", ["look", "make"])
def test_a_pattern_that_needs_mending_is_kept(ada, changes, name, button):
    answer = press(ada, "prepare-sections", **WEEK | changes | {button: "1"})

    assert answer.status_code == 422
    assert f'id="{name}-problem"' in text(answer)
    assert 'value="A1"' in text(answer)
    assert not Section.objects.exists()


def test_the_table_of_sections_is_kept_by_hand(ada):
    section = make_section()
    boxes = filled(page(ada, "prepare-sections"))
    boxes |= {f"s{section.pk}-title": "morning", "new-code": "B7"}

    wrong = press(ada, "prepare-sections", **boxes | {"new-due_at": "soon"}, keep="1")
    done = press(ada, "prepare-sections", **boxes, keep="1")

    assert wrong.status_code == 422
    assert 'value="morning"' in text(wrong)
    assert 'id="new-due_at-problem"' in text(wrong)
    assert done.status_code == 302
    assert {s.title for s in Section.objects.all()} == {"morning", ""}


def test_sections_get_groups_once_and_go_only_while_they_hold_nothing(ada):
    bare, full = make_section(code="A1"), make_section(code="A2")
    submit(make_bench(section=full).group)

    press(ada, "prepare-sections", section=bare.pk, fill_with="3", fill="1")
    again = press(ada, "prepare-sections", section=full.pk, fill_with="3", fill="1")
    stays = press(ada, "prepare-sections", remove=full.pk)
    press(ada, "prepare-sections", remove=bare.pk)

    assert again.status_code == 422
    assert "Section A2 stays: 1 submission, 1 issued vial" in text(stays)
    assert [section.code for section in Section.objects.all()] == ["A2"]


def test_stations_are_made_changed_and_taken_away(ada):
    press(
        ada,
        "prepare-stations",
        codes="1-3",
        place="x",
        scale="percent_T",
        step="0.5",
        make="1",
    )
    boxes = filled(page(ada, "prepare-stations"))
    first, *_, last = Station.objects.order_by("code")

    press(ada, "prepare-stations", **boxes | {f"t{first.pk}-step": "0,1"}, keep="1")
    press(ada, "prepare-stations", remove=last.pk)

    first.refresh_from_db()
    assert first.step == 0.1
    assert Station.objects.count() == 2


def test_a_station_that_cannot_change_says_why_at_its_box(ada):
    bench = make_bench(section=make_section())
    submit(bench.group)
    worked_off()
    boxes = filled(page(ada, "prepare-stations"))
    name = f"t{bench.station.pk}"

    answer = press(
        ada,
        "prepare-stations",
        **boxes | {f"{name}-scale": "absorbance", f"{name}-step": "0.001"},
        keep="1",
    )

    assert answer.status_code == 422
    assert f'id="{name}-scale-problem"' in text(answer)
    assert 'value="0.001"' in text(answer)
