"""What whoever watches the service is told."""

from datetime import timedelta

import pytest
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone
from prometheus_client.parser import text_string_to_metric_families

from results.models import PendingRecompute, WorkBatch
from tests.factories import make_bench, submit

TOKEN = "a-token-of-more-than-twenty-signs"
pytestmark = pytest.mark.django_db


@pytest.fixture
def measured(settings):
    settings.METRICS_TOKEN = TOKEN


def measure(client, token=TOKEN):
    return client.get("/metrics/", headers={"Authorization": f"Bearer {token}"})


def figures(response):
    """Figures by name and labels, read by the format's own parser."""
    return {
        (sample.name, *sample.labels.values()): sample.value
        for family in text_string_to_metric_families(response.content.decode())
        for sample in family.samples
    }


@pytest.mark.parametrize("path", ["/health/live/", "/health/ready/"])
def test_a_service_in_order_says_so(client, path):
    assert client.get(path).status_code == 200


def test_a_probe_is_not_sent_to_https(client, settings):
    settings.SECURE_SSL_REDIRECT = True

    assert client.get("/health/live/").status_code == 200
    assert client.get("/metrics/").status_code == 301


def test_a_database_with_a_migration_to_come_is_not_ready(client):
    applied = MigrationRecorder(connection).migration_qs.filter(app="results")
    applied.latest("pk").delete()

    response = client.get("/health/ready/")

    assert response.status_code == 503
    assert response.json() == {"ready": False}


def test_metrics_tell_of_the_queue_and_of_batches(client, measured):
    submit(make_bench().group)
    now = timezone.now()
    PendingRecompute.objects.update(available_at=now - timedelta(seconds=40))
    WorkBatch.objects.create(finished_at=now, seconds=0.25, size=12, failed=1)

    found = figures(measure(client))

    assert found["benchwide_pending_submissions", "waiting"] == 1
    assert 40 <= found["benchwide_queue_age_seconds",] < 45
    assert found["benchwide_recent_batch_size_max",] == 12
    assert found["benchwide_recent_failures",] == 1


@pytest.mark.parametrize("token", ["", "wrong", TOKEN[:-1]])
def test_metrics_are_for_who_brings_the_token(client, measured, token):
    assert measure(client, token).status_code == 404


def test_without_a_token_there_are_no_metrics(client, settings):
    settings.METRICS_TOKEN = ""

    assert measure(client, "").status_code == 404
