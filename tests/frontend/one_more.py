"""The site with two addresses more, which nobody has put behind a wall."""

from django.http import HttpResponse
from django.urls import path

from labsite.urls import urlpatterns as site


def _brand_new(_request):
    return HttpResponse("for whom?")


urlpatterns = [
    path("brand-new/", _brand_new, name="brand-new"),
    path("staff/nameless/", _brand_new),
    *site,
]
