"""The site's addresses, and some that fail."""

from django.core.exceptions import PermissionDenied
from django.urls import path

from labsite.urls import urlpatterns as site


def forbidden(request):
    raise PermissionDenied


def broken(request):
    raise ZeroDivisionError


urlpatterns = [path("forbidden/", forbidden), path("broken/", broken), *site]
