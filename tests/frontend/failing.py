"""The site's addresses, and some that fail."""

from django.core.exceptions import PermissionDenied
from django.db import OperationalError
from django.urls import path

from labsite import urls as site

handler400, handler500 = site.handler400, site.handler500


def forbidden(request):
    raise PermissionDenied


def broken(request):
    raise ZeroDivisionError


def away(request):
    raise OperationalError


urlpatterns = [
    path("forbidden/", forbidden),
    path("broken/", broken),
    path("away/", away),
    *site.urlpatterns,
]
