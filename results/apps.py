"""How Django finds the domain."""

from django.apps import AppConfig
from django.utils.module_loading import autodiscover_modules


class ResultsConfig(AppConfig):
    """The domain as a Django application."""

    name = "results"
    verbose_name = "Benchwide"

    def ready(self) -> None:
        """Register the checks that refuse a wrongly wired start."""
        autodiscover_modules("checks")
