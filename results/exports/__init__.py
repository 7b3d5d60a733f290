"""Tables that leave Benchwide."""

from results.exports.answers import ANSWER_COLUMNS, answer_rows
from results.exports.grades import GRADE_COLUMNS, grade_rows, grades_csv
from results.exports.oneroster import oneroster_package
from results.exports.package import course_package
from results.exports.workbook import grades_workbook

__all__ = [
    "ANSWER_COLUMNS",
    "GRADE_COLUMNS",
    "answer_rows",
    "course_package",
    "grade_rows",
    "grades_csv",
    "grades_workbook",
    "oneroster_package",
]
