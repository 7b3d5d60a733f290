"""The addresses of the pages for people and groups of a course."""

from django.urls import path

from frontend.views import preparing_groups, preparing_roster, preparing_roster_file

_PREPARE = "staff/courses/<slug:course_code>/prepare"

urlpatterns = [
    path(f"{_PREPARE}/roster/", preparing_roster.roster, name="prepare-roster"),
    path(
        f"{_PREPARE}/roster/file/",
        preparing_roster_file.roster_file,
        name="prepare-roster-file",
    ),
    path(f"{_PREPARE}/groups/", preparing_groups.groups, name="prepare-groups"),
]
