"""Released grades as a OneRoster 1.2 package of CSV files (1EdTech, CSV Binding 1.2).

One line item a section, one result a student. Columns, their order and the manifest
follow the standard's tables for `manifest.csv`, `categories.csv`, `lineItems.csv` and
`results.csv`; in bulk files `status` and `dateLastModified` stay empty. Identifiers of
people and classes are Benchwide's own and stable; the columns that begin with
`metadata.` say whom they mean.
"""

from collections.abc import Iterable
from datetime import date, datetime
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

from django.utils import timezone

from results.exports.cells import csv_text, harmless, number
from results.models import Group, Section, Student
from results.policy.access import Rights
from results.summaries.grade_rows import GradeRow
from results.summaries.grading import GradingBoard, by_code, grading_board

_FILES = (
    "academicSessions",
    "categories",
    "classes",
    "classResources",
    "courses",
    "courseResources",
    "demographics",
    "enrollments",
    "lineItemLearningObjectiveIds",
    "lineItems",
    "lineItemScoreScales",
    "orgs",
    "resources",
    "resultLearningObjectiveIds",
    "results",
    "resultScoreScales",
    "roles",
    "scoreScales",
    "userProfiles",
    "userResources",
    "users",
)
_GIVEN = frozenset({"categories", "lineItems", "results"})
_CATEGORY_COLUMNS = ("sourcedId", "status", "dateLastModified", "title", "weight")
_LINE_ITEM_COLUMNS = (
    "sourcedId",
    "status",
    "dateLastModified",
    "title",
    "description",
    "assignDate",
    "dueDate",
    "classSourcedId",
    "categorySourcedId",
    "academicSessionSourcedId",
    "resultValueMin",
    "resultValueMax",
    "schoolSourcedId",
)
RESULT_COLUMNS = (
    "sourcedId",
    "status",
    "dateLastModified",
    "lineItemSourcedId",
    "studentSourcedId",
    "scoreStatus",
    "score",
    "scoreDate",
    "comment",
    "textScore",
    "classSourcedId",
    "inProgress",
    "incomplete",
    "late",
    "missing",
    "metadata.studentName",
    "metadata.group",
)
_Person = tuple[int, str]


def oneroster_package(section_id: int, *, rights: Rights, now: datetime) -> bytes:
    """Return a section's results as a zip archive.

    Scores stand for released grades only.

    Raises
    ------
    NotFound, NoScheme
        As for the section's grades on a page.
    """
    board = grading_board(section_id, rights=rights)
    section = Section.objects.select_related("course").get(pk=section_id)
    people = _people(section)
    results = [
        result
        for row in sorted(board.rows, key=by_code)
        for result in _results(section, row, people.get(row.work.group_id, []))
    ]
    files = {
        "manifest": csv_text(("propertyName", "value"), _manifest()),
        "categories": csv_text(_CATEGORY_COLUMNS, [_category(section)]),
        "lineItems": csv_text(_LINE_ITEM_COLUMNS, [_line_item(section, board, now)]),
        "results": csv_text(RESULT_COLUMNS, results),
    }
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(f"{name}.csv", content)
    return out.getvalue()


def _manifest() -> list[tuple[str, str]]:
    return [
        ("manifest.version", "1.0"),
        ("oneroster.version", "1.2"),
        *(
            (f"file.{name}", "bulk" if name in _GIVEN else "absent")
            for name in sorted(_FILES, key=str.lower)
        ),
        ("source.systemName", "Benchwide"),
        ("source.systemCode", ""),
    ]


def _category(section: Section) -> tuple[str, ...]:
    return (_id(section, "category"), "", "", "laboratory results", "")


def _line_item(section: Section, board: GradingBoard, now: datetime) -> tuple[str, ...]:
    course = section.course
    return (
        _id(section, "item"),
        "",
        "",
        harmless(board.scheme_title),
        harmless(f"{course.title}, section {section.code}"),
        _day(section.opens_at or now).isoformat(),
        _day(section.due_at or section.opens_at or now).isoformat(),
        _id(section, "class"),
        _id(section, "category"),
        f"term-{course.code}",
        "0",
        number(board.max_points),
        f"school-{course.code}",
    )


def _id(section: Section, what: str) -> str:
    return f"{what}-{section.course.code}-{section.pk}"


def _day(moment: datetime) -> date:
    return timezone.localdate(moment)


def _people(section: Section) -> dict[int, list[_Person]]:
    people: dict[int, list[_Person]] = {
        pk: []
        for pk in Group.objects.filter(section=section).values_list("pk", flat=True)
    }
    for group_id, pk, name in (
        Student.objects.filter(group__section=section)
        .order_by("name")
        .values_list("group_id", "pk", "name")
    ):
        people[group_id].append((pk, name))
    return people


def _results(
    section: Section, row: GradeRow, people: list[_Person]
) -> Iterable[tuple[str, ...]]:
    """Yield a result for each student; one for the group if it names nobody."""
    whom = [(f"student-{pk}", name) for pk, name in people]
    for person, name in whom or [(f"group-{row.work.group_id}", "")]:
        is_released = row.released_at is not None
        received = row.work.revision is not None
        yield (
            f"{_id(section, 'result')}-{person}",
            "",
            "",
            _id(section, "item"),
            person,
            _status(row, received=received),
            number(row.final) if is_released else "",
            _day(row.released_at).isoformat() if row.released_at else "",
            harmless(row.comment) if is_released else "",
            "",
            _id(section, "class"),
            _flag(received and not is_released),
            _flag(not received),
            _flag(row.work.is_late),
            _flag(not received),
            harmless(name),
            harmless(row.work.group),
        )


def _status(row: GradeRow, *, received: bool) -> str:
    if row.released_at is not None:
        return "fully graded"
    return "submitted" if received else "not submitted"


def _flag(value: bool) -> str:  # noqa: FBT001 - a cell's value
    return "true" if value else "false"
