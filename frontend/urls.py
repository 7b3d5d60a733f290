"""The addresses of the pages."""

from django.contrib.auth.views import LogoutView
from django.urls import path
from django.views.i18n import set_language

from frontend.views import (
    bench,
    course,
    explaining,
    home,
    offline,
    paper,
    scanned,
    staff,
)

urlpatterns = [
    path("", home.home, name="home"),
    path("slip/", scanned.slip, name="slip-door"),
    path("s/<path:code>/", scanned.station, name="station-door"),
    path("sign-out/", home.sign_out, name="sign-out"),
    path("language/", set_language, name="set-language"),
    path("bench-worker.js", offline.worker, name="bench-worker"),
    path("bench-scripts.js", offline.scripts, name="bench-scripts"),
    path("bench/", bench.bench, name="bench-sheet"),
    path("bench/draft/", offline.draft, name="bench-draft"),
    path("bench/own-answer/", bench.own_answer, name="bench-own-answer"),
    path("bench/result/", bench.result, name="bench-result-current"),
    path("bench/result/<int:revision>/", bench.result, name="bench-result"),
    path(
        "bench/result/<int:revision>/state/",
        bench.result_state,
        name="bench-result-state",
    ),
    path("staff/", staff.staff_home, name="staff-home"),
    path("staff/sign-in/", home.StaffSignIn.as_view(), name="staff-sign-in"),
    path("staff/sign-out/", LogoutView.as_view(), name="staff-sign-out"),
    path("staff/sections/<int:section_id>/", staff.section, name="section"),
    path(
        "staff/sections/<int:section_id>/wall/",
        staff.section_wall,
        name="section-wall",
    ),
    path("staff/sections/<int:section_id>/slips/", paper.slips, name="section-slips"),
    path(
        "staff/courses/<slug:course_code>/stickers/",
        paper.stickers,
        name="station-stickers",
    ),
    path("staff/groups/<int:group_id>/", staff.group, name="group"),
    path(
        "staff/groups/<int:group_id>/computation/",
        explaining.computation,
        name="computation",
    ),
    path(
        "staff/groups/<int:group_id>/computation/check/",
        explaining.check,
        name="computation-check",
    ),
    path("staff/courses/<slug:course_code>/", course.course, name="course"),
    path(
        "staff/courses/<slug:course_code>/tolerances/",
        explaining.tolerances,
        name="tolerances",
    ),
    path(
        "staff/courses/<slug:course_code>/answers.csv",
        course.answers,
        name="course-answers",
    ),
    path("staff/courses/<slug:course_code>/retry/", course.retry, name="course-retry"),
    path(
        "staff/courses/<slug:course_code>/readings/",
        course.import_table,
        name="course-import",
    ),
]
