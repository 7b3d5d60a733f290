"""The addresses for whoever watches the service."""

from django.urls import path

from api.views import health

urlpatterns = [
    path("health/live/", health.live, name="health-live"),
    path("health/ready/", health.ready, name="health-ready"),
    path("metrics/", health.metrics, name="metrics"),
]
