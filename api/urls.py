"""The addresses of the API."""

from django.urls import path, re_path

from api.views import (
    about,
    caring,
    comparing,
    explaining,
    grade_files,
    grading,
    groups,
    sign_in,
    staff,
)

app_name = "api"
urlpatterns = [
    path("sign-in", sign_in.GroupSignIn.as_view(), name="sign-in"),
    path("staff/sign-in", sign_in.StaffSignIn.as_view(), name="staff-sign-in"),
    path("bench-sheet", groups.BenchSheet.as_view(), name="bench-sheet"),
    path("submissions", groups.Submissions.as_view(), name="submissions"),
    path("submissions/<int:revision>", groups.OwnResult.as_view(), name="submission"),
    path("courses", staff.Courses.as_view(), name="courses"),
    path("courses/<slug:code>", staff.Course.as_view(), name="course"),
    path(
        "courses/<slug:code>/sections",
        staff.CourseSections.as_view(),
        name="course-sections",
    ),
    path(
        "courses/<slug:code>/summary",
        staff.CourseSummary.as_view(),
        name="course-summary",
    ),
    path(
        "courses/<slug:code>/tolerances",
        explaining.CourseTolerances.as_view(),
        name="course-tolerances",
    ),
    path(
        "courses/<slug:code>/stations",
        comparing.Stations.as_view(),
        name="course-stations",
    ),
    path("courses/<slug:code>/lots", comparing.Lots.as_view(), name="course-lots"),
    path(
        "courses/<slug:code>/section-effects",
        comparing.Sections.as_view(),
        name="course-section-effects",
    ),
    path(
        "courses/<slug:code>/slopes", comparing.Slopes.as_view(), name="course-slopes"
    ),
    path("courses/<slug:code>/slips", comparing.Slips.as_view(), name="course-slips"),
    path(
        "courses/<slug:code>/scores", comparing.Scores.as_view(), name="course-scores"
    ),
    path(
        "courses/<slug:code>/contrasts",
        comparing.Contrasts.as_view(),
        name="course-contrasts",
    ),
    path(
        "courses/<slug:code>/lots/<int:lot_id>/values",
        caring.LotValues.as_view(),
        name="lot-values",
    ),
    path(
        "courses/<slug:code>/stations/<int:station_id>/service",
        caring.StationServiceView.as_view(),
        name="station-service",
    ),
    path(
        "courses/<slug:code>/package.zip",
        caring.Package.as_view(),
        name="course-package",
    ),
    path("sections/<int:section_id>", staff.Section.as_view(), name="section"),
    path(
        "sections/<int:section_id>/groups",
        staff.SectionGroups.as_view(),
        name="section-groups",
    ),
    path(
        "sections/<int:section_id>/summary",
        staff.SectionSummary.as_view(),
        name="section-summary",
    ),
    path("groups/<int:group_id>", staff.Group.as_view(), name="group"),
    path(
        "groups/<int:group_id>/computation",
        explaining.Computation.as_view(),
        name="computation",
    ),
    path(
        "groups/<int:group_id>/computation/check",
        explaining.ComputationCheck.as_view(),
        name="computation-check",
    ),
    path(
        "sections/<int:section_id>/grades",
        grading.SectionGrades.as_view(),
        name="section-grades",
    ),
    path(
        "sections/<int:section_id>/grades.csv",
        grade_files.GradesCsv.as_view(),
        name="section-grades-csv",
    ),
    path(
        "sections/<int:section_id>/grades.xlsx",
        grade_files.GradesXlsx.as_view(),
        name="section-grades-xlsx",
    ),
    path(
        "sections/<int:section_id>/oneroster.zip",
        grade_files.GradesOneRoster.as_view(),
        name="section-grades-oneroster",
    ),
    path(
        "groups/<int:group_id>/grade",
        grading.GradeHistory.as_view(),
        name="grade-history",
    ),
    path("grade", grading.OwnGrade.as_view(), name="own-grade"),
    path("answers", staff.Answers.as_view(), name="answers"),
    path("problems", about.Problems.as_view(), name="problems"),
    path("problems/<slug:code>", about.Problem.as_view(), name="problem"),
    path("openapi.yaml", about.Description.as_view(), name="openapi"),
    path("docs/", about.Pages.as_view(), name="docs"),
    re_path("", about.NothingHere.as_view(schema=None), name="nothing-here"),
]
