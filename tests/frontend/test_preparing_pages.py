"""Pages on which a course is made and prepared."""

import re

import pytest
from django.urls import reverse

from results.models import Course, Group, Protocol, Section, Station
from tests.factories import (
    make_bench,
    make_course,
    make_grading,
    make_group,
    make_lot,
    make_section,
    make_staff,
    make_station,
    make_vial,
    slip_code,
    submit,
    worked_off,
)

pytestmark = pytest.mark.django_db
PAGES = [
    "prepare",
    "prepare-protocol",
    "prepare-sections",
    "prepare-policies",
    "prepare-stations",
]


@pytest.fixture
def ada(client):
    make_course()
    client.force_login(make_staff("ada"))
    return client


def page(client, name, **query):
    return client.get(reverse(name, args=["IRON-1"]), query)


def text(answer):
    return answer.content.decode()


def press(client, name, **fields):
    return client.post(reverse(name, args=["IRON-1"]), fields)


def filled(answer):
    """Everything that stands in the boxes of a page, as a browser would send it."""
    found = {}
    for tag in re.findall(r"<input[^>]*>", text(answer)):
        name, value = (re.search(rf'{key}="([^"]*)"', tag) for key in ("name", "value"))
        if name and 'type="checkbox"' not in tag and name[1] != "csrfmiddlewaretoken":
            found[name[1]] = value[1] if value else ""
    for name, options in re.findall(
        r'<select[^>]* name="([^"]+)".*?>(.*?)</select>', text(answer), re.DOTALL
    ):
        chosen = re.search(r'value="([^"]*)" selected', options)
        found[name] = chosen[1] if chosen else ""
    lines = r'<textarea[^>]* name="([^"]+)"[^>]*>(.*?)</textarea>'
    return found | dict(re.findall(lines, text(answer), re.DOTALL))


@pytest.mark.parametrize("name", PAGES)
def test_only_coordinators_prepare_a_course(client, name):
    section = make_section()
    assert page(client, name).status_code == 302

    client.force_login(make_staff("ben", role="assistant", section=section))
    assert page(client, name).status_code == 404

    client.force_login(make_staff("ada"))
    assert page(client, name).status_code == 200


def test_a_new_course_is_for_who_may_make_one(client):
    make_course()
    assert client.get(reverse("new-course")).status_code == 302

    client.force_login(make_staff("ben", role=None))
    assert client.get(reverse("new-course")).status_code == 404
    assert reverse("new-course") not in text(client.get(reverse("staff-home")))

    client.force_login(make_staff("ada"))
    assert client.get(reverse("new-course")).status_code == 200
    assert reverse("new-course") in text(client.get(reverse("staff-home")))


def test_a_course_is_made_from_nothing(ada):
    done = ada.post(reverse("new-course"), {"code": "IRON-2", "make": "1"})

    assert done["Location"] == reverse("prepare", args=["IRON-2"])
    assert "Five things are missing" in text(ada.get(done["Location"]))


def test_a_code_that_is_taken_is_refused_and_nothing_typed_is_lost(ada):
    typed = {"code": "iron-1", "title": "My iron", "look": "1"}

    answer = ada.post(reverse("new-course"), typed)

    assert answer.status_code == 422
    assert "There is a course iron-1 already" in text(answer)
    assert 'value="My iron"' in text(answer)


def test_what_a_course_would_take_over_is_shown_before_it_is_made(ada):
    make_section(opens_at="2025-03-04T14:00Z", due_at="2025-03-11T14:00Z")
    typed = {"code": "IRON-2", "like": "IRON-1", "starts": "2026-03-02"}

    hasty = ada.post(reverse("new-course"), {**typed, "make": "1"})
    shown = ada.post(reverse("new-course"), {**typed, "look": "1"})
    done = ada.post(reverse("new-course"), {**filled(shown), "make": "1"})

    assert hasty.status_code == 409
    assert "Tue 3 Mar 2026" in text(shown)
    assert Course.objects.filter(code="IRON-2").count() == 1
    assert done.status_code == 302


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"starts": ""}, "Give the first day of the new term"),
        ({"starts": "soon"}, "Give the first day of the new term"),
        ({"like": "THEIRS"}, "no such course among those that you coordinate"),
        ({"code": "new"}, "A course cannot be called"),
    ],
)
def test_a_copy_that_cannot_be_made_says_why(ada, changes, words):
    make_course("THEIRS")
    typed = {"code": "IRON-2", "like": "IRON-1", "starts": "2026-03-02", "look": "1"}

    answer = ada.post(reverse("new-course"), typed | changes)

    assert answer.status_code == 422
    assert words in text(answer)


def test_who_keeps_the_site_can_coordinate_a_lonely_course(client):
    user = make_staff("kim", role=None)
    user.is_staff = True
    user.save()
    make_course()
    client.force_login(user)

    assert "Coordinate IRON-1" in text(client.get(reverse("new-course")))
    client.post(reverse("new-course-coordinate"), {"course": "IRON-1"})

    assert page(client, "prepare").status_code == 200


def test_the_hub_lists_every_step_with_its_state(ada):
    content = text(page(ada, "prepare"))

    assert "version 1 is in force" in content
    assert "no sections yet" in content
    assert reverse("prepare-protocol", args=["IRON-1"]) in content
    assert "No section opens yet" in content


def test_the_hub_says_when_nothing_is_missing(client):
    bench = make_bench(slip=slip_code())
    make_vial(bench.lot, "418")
    client.force_login(make_staff("ada"))

    assert "Nothing is missing" in text(page(client, "prepare"))


def test_a_protocol_is_looked_at_then_adopted(ada):
    boxes = filled(page(ada, "prepare-protocol"))
    boxes["standard-mass_g"] = "0,1800"

    shown = press(ada, "prepare-protocol", **boxes, look="1")
    assert "This is what would be adopted; nothing is yet" in text(shown)
    assert "0.18 g" in text(shown)
    assert Protocol.objects.count() == 1
    done = press(ada, "prepare-protocol", **filled(shown), adopt="1")

    assert done.status_code == 302
    assert Protocol.objects.get(version=2).document["standard"]["mass_g"] == 0.18
    after = text(page(ada, "prepare-protocol"))
    assert "Mass of the salt, g: 0.21 → 0.18" in after
    assert "Start from version 1" in after


def test_looking_changes_nothing_and_adopting_the_same_makes_no_version(ada):
    boxes = filled(page(ada, "prepare-protocol"))

    press(ada, "prepare-protocol", **boxes, adopt="1")

    assert Protocol.objects.count() == 1


def test_a_protocol_that_needs_mending_keeps_everything_typed(ada):
    boxes = filled(page(ada, "prepare-protocol"))
    boxes |= {"standards-1-take_mL": "lots", "title": "Second go", "cautions": "Mind."}

    answer = press(ada, "prepare-protocol", **boxes, adopt="1")

    assert answer.status_code == 422
    content = text(answer)
    assert "One thing needs mending; nothing typed is lost" in content
    assert 'id="standards-1-take_mL-problem"' in content
    assert 'value="lots"' in content
    assert 'value="Second go"' in content
    assert ">Mind.</textarea>" in content


def test_a_version_adopted_meanwhile_is_shown_first(ada):
    boxes = filled(page(ada, "prepare-protocol")) | {"develop_min": "25"}
    Protocol.objects.create(
        course=Course.objects.get(),
        version=2,
        document=Protocol.objects.get().document | {"develop_min": 12},
        adopted_at="2025-03-04T14:00Z",
    )

    answer = press(ada, "prepare-protocol", **boxes, adopt="1")

    assert answer.status_code == 409
    assert "Version 2 was adopted meanwhile" in text(answer)
    assert 'value="25"' in text(answer)


def test_a_script_gets_the_picture_alone(ada):
    boxes = filled(page(ada, "prepare-protocol"))

    answer = press(ada, "prepare-protocol", **boxes, look="1", part="1")
    broken = press(
        ada, "prepare-protocol", **boxes | {"path_cm": "x"}, look="1", part="1"
    )

    assert "<html" not in text(answer)
    assert text(answer).count("<svg") == 3
    assert broken.status_code == 422
    assert "It cannot be drawn until one thing is mended" in text(broken)
    assert '<a href="#path_cm">Path, cm</a>: Must be a number' in text(broken)


def test_warnings_name_the_lot_and_do_not_refuse(ada):
    make_lot(code="L9", iron_percent=40.0)
    boxes = filled(page(ada, "prepare-protocol")) | {"develop_min": "20"}

    shown = press(ada, "prepare-protocol", **boxes, look="1")
    done = press(ada, "prepare-protocol", **boxes, adopt="1")

    assert "above the strongest standard (2.98 mg/L) for lot L9 (40 %)" in text(shown)
    assert done.status_code == 302


def test_a_course_without_a_protocol_gets_one_to_start_from(ada):
    Protocol.objects.all().delete()

    answer = page(ada, "prepare-protocol")

    assert "No protocol yet; here is one to start from" in text(answer)
    assert (
        press(ada, "prepare-protocol", **filled(answer), adopt="1").status_code == 302
    )
    assert Protocol.objects.get().version == 1


def test_a_range_that_is_none_is_named_at_its_box(ada):
    boxes = filled(page(ada, "prepare-protocol")) | {"to_percent": "140"}

    answer = press(ada, "prepare-protocol", **boxes, look="1")

    assert answer.status_code == 422
    assert 'id="to_percent-problem"' in text(answer)


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


@pytest.mark.parametrize(
    ("name", "queries"),
    # Session, user and duties, then: protocol: course, versions, course, lots, values;
    # sections: course, sections, groups, students, vials, drafts, submissions;
    # policies: course, scheme; stations: course, stations.
    [
        ("prepare-protocol", 8),
        ("prepare-sections", 10),
        ("prepare-policies", 5),
        ("prepare-stations", 5),
    ],
)
@pytest.mark.parametrize("n", [1, 4])
def test_pages_cost_the_same_however_much_there_is(
    ada, name, queries, n, django_assert_num_queries
):
    make_grading()
    for i in range(n):
        make_group(make_section(code=f"A{i}"))
        make_station(code=f"S{i}")
        make_lot(code=f"L{i}")

    with django_assert_num_queries(queries):
        assert page(ada, name).status_code == 200
