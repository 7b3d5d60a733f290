"""The addresses of the site."""

from django.contrib import admin
from django.urls import include, path

from frontend.views import administration, not_now

handler400 = not_now.bad_request
handler500 = not_now.server_error

urlpatterns = [
    path("api/v1/", include("api.urls")),
    path("", include("api.health_urls")),
    # Before the administration's own addresses, of which this is one.
    path("admin/login/", administration.sign_in),
    path("admin/", admin.site.urls),
    path("", include("frontend.urls")),
]
