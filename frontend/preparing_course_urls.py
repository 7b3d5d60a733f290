"""The addresses under which a course is made and its own parts are prepared."""

from django.urls import include, path

from frontend.views import (
    preparing_course,
    preparing_protocol,
    preparing_sections,
    preparing_stations,
)

urlpatterns = [
    path("new/", preparing_course.new_course, name="new-course"),
    path("new/coordinate/", preparing_course.coordinate, name="new-course-coordinate"),
    path(
        "<slug:course_code>/prepare/",
        include(
            [
                path("", preparing_course.hub, name="prepare"),
                path("protocol/", preparing_protocol.protocol, name="prepare-protocol"),
                path("sections/", preparing_sections.sections, name="prepare-sections"),
                path("policies/", preparing_course.policies, name="prepare-policies"),
                path("stations/", preparing_stations.stations, name="prepare-stations"),
            ]
        ),
    ),
]
