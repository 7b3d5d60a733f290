"""The addresses of everything printed for a course."""

from django.urls import include, path

from frontend.views import preparing_paper, preparing_prep_room

urlpatterns = [
    path(
        "staff/courses/<slug:course_code>/prepare/paper/",
        include(
            [
                path("", preparing_paper.choose, name="prepare-paper"),
                path("vials/", preparing_paper.vials, name="paper-vials"),
                path("slips/", preparing_paper.slips, name="paper-slips"),
                path("stickers/", preparing_paper.stickers, name="paper-stickers"),
                path(
                    "calibration/", preparing_paper.calibrate, name="paper-calibration"
                ),
                path("geometry.css", preparing_paper.geometry, name="paper-geometry"),
                path(
                    "worksheet/", preparing_prep_room.worksheet, name="paper-worksheet"
                ),
                path("prep-room/", preparing_prep_room.plan, name="paper-prep-room"),
                path("handout/", preparing_prep_room.handout, name="paper-handout"),
            ]
        ),
    ),
]
