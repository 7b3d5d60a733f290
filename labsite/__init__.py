"""The site: settings, addresses and the worker application; no rules live here."""

from labsite.celery import app as celery_app

__all__ = ["celery_app"]
