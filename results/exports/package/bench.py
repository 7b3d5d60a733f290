"""Tables of what was there and what was read."""

from results.exports.package.columns import Column, Kind, Reference, Table
from results.exports.package.records import (
    GROUP,
    IN_SUBMISSIONS,
    OF_SUBMISSION,
    by_group,
    current,
    group_columns,
    numeric,
    rows_of,
    text,
    whole,
)
from results.models import Group, Reading, Station, StationNote, Student, Submission

GROUPS = Table(
    "groups",
    "Groups",
    group_columns(""),
    GROUP,
    rows_of(lambda pk: Group.objects.filter(section__course=pk), *by_group("")),
)
STATIONS = Table(
    "stations",
    "Instrument stations",
    (
        text("station", "code", "code on the station's sticker", required=True),
        text("place", "place", "where it stands"),
        text("scale", "scale", "percent_T or absorbance", required=True),
        numeric("step", "step", "smallest step of the scale, in its unit"),
        Column("in_service", Kind.BOOLEAN, "in_service", "whether groups may use it"),
        text("note", "note", "newest note about its service", is_name=True),
    ),
    ("station",),
    rows_of(lambda pk: Station.objects.filter(course=pk), "code"),
)
STATION_NOTES = Table(
    "station_notes",
    "Stations taken out of service and put back",
    (
        text("station", "station__code", "code of the station", required=True),
        whole("number", "pk", "number of the note, rising with time", required=True),
        Column("at", Kind.DATETIME, "at", "when, UTC", required=True),
        Column("in_service", Kind.BOOLEAN, "in_service", "what was decided"),
        text("note", "note", "why", is_name=True),
        text("by", "by_name", "who", is_name=True),
    ),
    ("number",),
    rows_of(lambda pk: StationNote.objects.filter(station__course=pk), "pk"),
    (Reference(("station",), "stations"),),
)
SUBMISSIONS = Table(
    "submissions",
    "Current submissions of groups",
    (
        *group_columns("group__"),
        whole("revision", "revision", "number of the revision, from 1"),
        Column("received_at", Kind.DATETIME, "received_at", "when, UTC"),
        text("station", "station__code", "code of the station", required=True),
        text("vial", "vial__code", "code of the vial"),
        text("scale", "scale", "percent_T or absorbance", required=True),
        numeric("standard_mass_g", "standard_mass_g", "weighed standard, g"),
        numeric("unknown_mass_g", "unknown_mass_g", "weighed unknown, g"),
        text("own_slope", "own_slope", "worked slope as reported, L/mg"),
        text("own_intercept", "own_intercept", "worked intercept, absorbance"),
        text("own_unknown_mg_L", "own_unknown_mg_L", "worked unknown, mg/L"),
        text("own_iron_percent", "own_iron_percent", "worked iron, % by mass"),
        text("own_iron_mg", "own_iron_mg", "worked iron in the first flask, mg"),
    ),
    GROUP,
    rows_of(
        lambda pk: Submission.objects.filter(
            group__section__course=pk, is_current=True
        ),
        *by_group("group__"),
    ),
    (Reference(GROUP, "groups"), Reference(("station",), "stations")),
)
STUDENTS = Table(
    "students",
    "Students of groups",
    (
        *group_columns("group__"),
        text("student", "name", "name", required=True, is_name=True),
    ),
    (*GROUP, "student"),
    rows_of(
        lambda pk: Student.objects.filter(group__section__course=pk),
        *by_group("group__"),
        "name",
    ),
    (Reference(GROUP, "groups"),),
)
READINGS = Table(
    "readings",
    "Readings of tubes, one a row",
    (
        *group_columns(OF_SUBMISSION),
        text("tube", "tube", "label of the tube", required=True),
        whole("replicate", "replicate", "number of the replicate", required=True),
        whole("position", "position", "order in which it was read"),
        numeric("taken_mL", "taken_mL", "volume taken, mL, where not the nominal one"),
        numeric("value", "value", "meter value, on the scale of the submission"),
    ),
    (*GROUP, "tube", "replicate"),
    rows_of(current(Reading), *by_group(OF_SUBMISSION), "position"),
    IN_SUBMISSIONS,
)
