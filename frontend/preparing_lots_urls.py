"""The addresses of pages on which lots and vials are prepared."""

from django.urls import include, path

from frontend.views import preparing_lots, preparing_records, preparing_vials

_PAGES = [
    path("lots/", preparing_lots.lots, name="prepare-lots"),
    path("lots/<int:lot_id>/", preparing_lots.lot, name="prepare-lot"),
    path(
        "lots/<int:lot_id>/records/<slug:kind>/",
        preparing_records.record,
        name="prepare-record",
    ),
    path("vials/", preparing_vials.vials, name="prepare-vials"),
]
urlpatterns = [path("staff/courses/<slug:course_code>/prepare/", include(_PAGES))]
