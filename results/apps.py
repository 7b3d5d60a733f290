"""How Django finds the domain."""

from datetime import datetime
from functools import cache

from babel.numbers import get_decimal_symbol
from django.apps import AppConfig
from django.utils.formats import date_format
from django.utils.module_loading import autodiscover_modules
from django.utils.timezone import localtime
from django.utils.translation import get_language, gettext, ngettext

from results.policy.language import DAY_AND_TIME, Speech, speak


class ResultsConfig(AppConfig):
    """The domain as a Django application."""

    name = "results"
    verbose_name = "Benchwide"

    def ready(self) -> None:
        """Register the checks that refuse a wrongly wired start; find the words."""
        autodiscover_modules("checks")
        speak(
            Speech(
                translate=gettext,
                translate_counted=ngettext,
                decimal_sign=lambda: _decimal_sign(get_language() or "en"),
                moment=_day_and_time,
            )
        )


@cache
def _decimal_sign(language: str) -> str:
    return get_decimal_symbol(language.replace("-", "_"))


def _day_and_time(at: datetime) -> str:
    return date_format(localtime(at), gettext(DAY_AND_TIME))
