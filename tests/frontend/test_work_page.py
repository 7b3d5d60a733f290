"""The page of the background work."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from results.models import PendingRecompute, WorkBatch
from tests.factories import make_bench, make_staff, submit

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client):
    bench = make_bench()
    submit(bench.group)
    PendingRecompute.objects.update(available_at=timezone.now())
    client.force_login(make_staff("ada"))

    def text(name="course-work"):
        return client.get(reverse(name, args=[bench.course.code])).content.decode()

    return text


def test_the_title_says_what_waits(page):
    assert "<h1>One submission is being computed</h1>" in page()


def test_nothing_waits_once_all_is_computed(page):
    PendingRecompute.objects.all().delete()

    assert "<h1>Nothing waits: every submission is computed</h1>" in page()


def test_work_without_a_worker_asks_for_one(page):
    long_ago = timezone.now() - timedelta(minutes=5)
    PendingRecompute.objects.update(available_at=long_ago)

    assert "The longest has waited 5 min and no worker was seen." in page()


def test_set_aside_work_can_be_tried_again_from_here(page, client):
    PendingRecompute.objects.update(parked_at=timezone.now(), last_error="no such step")
    text = page()
    pending = PendingRecompute.objects.get()

    assert "Nothing waits, but one submission is set aside" in text
    assert "no such step" in text
    client.post(reverse("course-retry", args=["IRON-1"]), {"pending": pending.pk})
    pending.refresh_from_db()
    assert pending.parked_at is None


def test_the_last_batches_are_drawn_by_their_size(page):
    now = timezone.now()
    for size in (10, 40):
        WorkBatch.objects.create(finished_at=now, seconds=1, size=size)

    text = page("course-work-now")

    assert text.count("<rect") == 2
    assert 'height="60.00"' in text
    assert 'height="15.00"' in text
    assert "50 submissions in 2 batches" in text


def test_an_assistant_does_not_see_it(client):
    bench = make_bench()
    client.force_login(make_staff("ben", role="assistant", section=bench.section))

    answer = client.get(reverse("course-work", args=[bench.course.code]))

    assert answer.status_code == 404
