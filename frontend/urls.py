"""The addresses of the pages."""

from django.urls import include, path
from django.views.i18n import set_language

from frontend.scripts import BENCH, HOME
from frontend.views import (
    bench,
    caring,
    comparing,
    course,
    explaining,
    grade_files,
    grading,
    grading_course,
    home,
    offline,
    own_data,
    own_grade,
    paper,
    scanned,
    staff,
    work,
)

urlpatterns = [
    path("", home.home, name="home"),
    path("slip/", scanned.slip, name="slip-door"),
    path("s/<path:code>/", scanned.station, name="station-door"),
    path("sign-out/", home.sign_out, name="sign-out"),
    path("language/", set_language, name="set-language"),
    path("bench-worker.js", offline.worker, name="bench-worker"),
    *(
        path(f"{one.route}.js", offline.scripts, {"bundle": one}, name=one.route)
        for one in (HOME, BENCH)
    ),
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
    path("", include("frontend.preparing_staff_urls")),
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
    # Before the addresses of courses: none can be called "new".
    path("staff/courses/", include("frontend.preparing_course_urls")),
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
    path(
        "staff/courses/<slug:course_code>/compare/",
        include(
            [
                path("stations/", comparing.stations, name="compare-stations"),
                path("lots/", comparing.lots, name="compare-lots"),
                path("sections/", comparing.sections, name="compare-sections"),
                path("slopes/", comparing.slopes, name="compare-slopes"),
                path("slips/", comparing.slips, name="compare-slips"),
                path("report/", comparing.report, name="compare-report"),
            ]
        ),
    ),
    path("staff/courses/<slug:course_code>/work/", work.work, name="course-work"),
    path(
        "staff/courses/<slug:course_code>/work/now/", work.now, name="course-work-now"
    ),
    path("staff/courses/<slug:course_code>/retry/", course.retry, name="course-retry"),
    path(
        "staff/courses/<slug:course_code>/readings/",
        course.import_table,
        name="course-import",
    ),
    path("bench/own-data/", own_data.take, name="own-data"),
    path("bench/grade/recheck/", own_grade.ask, name="recheck-ask"),
    path(
        "staff/sections/<int:section_id>/grading/",
        include(
            [
                path("", grading.board, name="grading"),
                path("accept/", grading.accept, name="grading-accept"),
                path("release/", grading.release, name="grading-release"),
                path("undo/", grading.undo, name="grading-undo"),
                path(
                    "rechecks/<int:request_id>/", grading.answer, name="recheck-answer"
                ),
                path(
                    "<int:group_id>/<slug:deed>/", grading.change, name="grade-change"
                ),
                path("report/", grade_files.report, name="grading-report"),
                path("grades.csv", grade_files.as_csv, name="grades-csv"),
                path("grades.xlsx", grade_files.as_xlsx, name="grades-xlsx"),
                path(
                    "oneroster.zip", grade_files.as_oneroster, name="grades-oneroster"
                ),
            ]
        ),
    ),
    path("staff/groups/<int:group_id>/grade/", grading.history, name="grade-history"),
    path(
        "staff/courses/<slug:course_code>/grading/",
        grading_course.scheme,
        name="grading-scheme",
    ),
    path(
        "staff/courses/<slug:course_code>/allowances/",
        grading_course.allowances,
        name="allowances",
    ),
    path(
        "staff/courses/<slug:course_code>/stations/service/",
        caring.station_service,
        name="station-service",
    ),
    path(
        "staff/courses/<slug:course_code>/lots/value/",
        caring.lot_value,
        name="lot-value",
    ),
    path("", include("frontend.preparing_lots_urls")),
    path(
        "staff/courses/<slug:course_code>/prepare/issuing/",
        include("frontend.preparing_issuing_urls"),
    ),
    path("", include("frontend.preparing_paper_urls")),
    path(
        "staff/courses/<slug:course_code>/package.zip",
        caring.package,
        name="course-package",
    ),
    path("", include("frontend.preparing_roster_urls")),
]
