"""The application that workers and the scheduler run."""

import os
from typing import Any

from celery import Celery
from celery.signals import worker_ready

from labsite.broker import use_own_transports

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labsite.settings")
use_own_transports()

app = Celery("benchwide")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["results"])


@worker_ready.connect
def wake_at_start(**_: Any) -> None:
    """Begin with what was left pending while no worker ran."""
    app.send_task("results.tasks.work_off")
