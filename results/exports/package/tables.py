"""All tables of a course."""

from results.exports.package.bench import (
    GROUPS,
    READINGS,
    STATION_NOTES,
    STATIONS,
    STUDENTS,
    SUBMISSIONS,
)
from results.exports.package.outcomes import (
    ANSWERS,
    ASSIGNED_VALUES,
    FINDINGS,
    GRADES,
    RECOVERIES,
    STAFF_FINDINGS,
)

TABLES = (
    GROUPS,
    STATIONS,
    STATION_NOTES,
    SUBMISSIONS,
    READINGS,
    ANSWERS,
    FINDINGS,
    GRADES,
    STUDENTS,
    ASSIGNED_VALUES,
    RECOVERIES,
    STAFF_FINDINGS,
)
