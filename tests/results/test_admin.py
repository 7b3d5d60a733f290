"""The administration opens, shows no assigned value in a list, and helps."""

import pytest
from django.contrib import admin
from django.contrib.auth.models import User
from django.urls import reverse

from results import intake
from results.models import Duty, DutyNote, Group, PendingRecompute
from tests.factories import (
    NOW,
    make_bench,
    make_staff,
    slip_code,
    submit,
    worked_off,
)

pytestmark = pytest.mark.django_db
OURS = [model for model in admin.site._registry if model._meta.app_label == "results"]


@pytest.fixture
def keeper(client):
    client.force_login(User.objects.create_superuser("keeper"))
    return client


@pytest.fixture
def bench():
    bench = make_bench(iron_percent=12.345, slip=slip_code(1))
    submit(bench.group)
    return bench


@pytest.mark.parametrize("model", OURS, ids=lambda model: model.__name__)
def test_every_list_opens_and_tells_no_assigned_value(keeper, bench, model):
    worked_off()

    page = keeper.get(reverse(f"admin:results_{model._meta.model_name}_changelist"))

    assert page.status_code == 200
    assert "12.345" not in page.text


@pytest.mark.parametrize("model", OURS, ids=lambda model: model.__name__)
def test_every_record_opens(keeper, bench, model):
    name = f"admin:results_{model._meta.model_name}_change"

    for record in model.objects.all():
        assert keeper.get(reverse(name, args=[record.pk])).status_code == 200


def test_a_new_slip_is_shown_once_and_the_former_stops_working(keeper, bench):
    address = reverse("admin:results_group_changelist")
    data = {"action": "issue_new_slips", "_selected_action": [bench.group.pk]}

    page = keeper.post(address, data, follow=True)

    (message,) = page.context["messages"]
    code = str(message).split(": ")[1].split(" ")[0]
    assert intake.sign_in_group(code).group_id == bench.group.pk
    assert Group.objects.get().slip_digest != intake.slip_digest(slip_code(1))


def test_what_was_set_aside_can_be_tried_again(keeper, bench):
    PendingRecompute.objects.update(parked_at=NOW, attempts=3)
    row = PendingRecompute.objects.get()
    address = reverse("admin:results_pendingrecompute_changelist")

    keeper.post(address, {"action": "try_again", "_selected_action": [row.pk]})

    row.refresh_from_db()
    assert row.parked_at is None


def test_the_queue_can_be_narrowed_to_what_was_set_aside(keeper, bench):
    address = reverse("admin:results_pendingrecompute_changelist")

    parked = keeper.get(address, {"state": "parked"})
    waiting = keeper.get(address, {"state": "waiting"})

    assert parked.context["cl"].result_count == 0
    assert waiting.context["cl"].result_count == 1


def save_duties(keeper, course, *, leaving=(), new=()):
    """Save a course's page with duties taken and given."""
    held = list(course.duties.order_by("pk"))
    form = {"code": course.code, "title": course.title, "iron_shown": "at_once"}
    form |= {"duties-TOTAL_FORMS": len(held) + len(new)}
    form |= {"duties-INITIAL_FORMS": len(held)}
    for index, duty in enumerate(held):
        form |= {f"duties-{index}-id": duty.pk, f"duties-{index}-course": course.pk}
        form |= {f"duties-{index}-DELETE": "on"} if duty.user in leaving else {}
    for index, user in enumerate(new, start=len(held)):
        form |= {f"duties-{index}-course": course.pk, f"duties-{index}-user": user.pk}
        form |= {f"duties-{index}-role": "coordinator"}
    address = reverse("admin:results_course_change", args=[course.pk])
    return keeper.post(address, form)


def test_the_last_coordinator_cannot_be_taken_here_either(keeper, bench):
    ada = make_staff("ada", course=bench.course)

    page = save_duties(keeper, bench.course, leaving=[ada])

    assert "left without a coordinator" in page.text
    assert Duty.objects.exists()


def test_a_coordinator_is_replaced_here_with_a_line_in_the_history(keeper, bench):
    ada, ben = make_staff("ada", course=bench.course), make_staff("ben", role=None)

    saved = save_duties(keeper, bench.course, leaving=[ada], new=[ben])

    assert saved.status_code == 302
    assert Duty.objects.get().user == ben
    notes = DutyNote.objects.order_by("deed").values_list("deed", "person_name")
    assert list(notes) == [("given", "ben"), ("taken", "ada")]
    assert set(DutyNote.objects.values_list("by_name", flat=True)) == {"keeper"}
