"""The answers table: one current submission a row."""

from collections.abc import Iterator

from results.exports.cells import harmless, number
from results.models import Group, Section
from results.models.courses import find_course
from results.summaries.section import GroupRow, group_rows

ANSWER_COLUMNS = (
    "section",
    "group",
    "station",
    "lot",
    "slope",
    "slope_se",
    "intercept",
    "residual_sd",
    "iron_percent",
    "standard_uncertainty",
    "low",
    "high",
    "recovery",
    "top_finding",
    "probability",
    "findings",
    "worked_finding",
)


def answer_rows(course_code: str) -> Iterator[dict[str, str]]:
    """Yield the answers of a course's current submissions, as text.

    Numbers are written in full, so that nothing is lost on the way.

    Raises
    ------
    NotFound
        There is no such course.
    """
    course = find_course(course_code)
    sections = dict(Section.objects.filter(course=course).values_list("pk", "code"))
    groups = list(Group.objects.filter(section__course=course))
    section_of = {group.pk: sections[group.section_id] for group in groups}
    rows = [row for row in group_rows(groups, open_values=True) if row.revision]
    for row in sorted(rows, key=lambda row: (section_of[row.group_id], row.group)):
        yield _cells(section_of[row.group_id], row)


def _cells(section: str, row: GroupRow) -> dict[str, str]:
    bench, worked = row.at_the_bench, row.on_paper
    return {
        "section": harmless(section),
        "group": harmless(row.group),
        "station": harmless(row.station),
        "lot": harmless(row.lot),
        "slope": number(row.slope),
        "slope_se": number(row.slope_se),
        "intercept": number(row.intercept),
        "residual_sd": number(row.residual_sd),
        "iron_percent": number(row.iron_percent),
        "standard_uncertainty": number(row.standard_uncertainty),
        "low": number(row.low),
        "high": number(row.high),
        "recovery": number(row.recovery.ratio if row.recovery else None),
        "top_finding": bench[0].code if bench else "",
        "probability": number(bench[0].probability if bench else None),
        "findings": ";".join(found.code for found in bench),
        "worked_finding": worked[0].code if worked else "",
    }
