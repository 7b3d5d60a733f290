"""Tables of readings and of vials: all of it, or all that is good, as one chose."""

import math
import random

import pytest

from results import recompute
from results.intake import import_readings
from results.issuing import import_vials
from results.models import (
    Answer,
    AssignedValue,
    Group,
    Issue,
    Station,
    Submission,
    Vial,
)
from results.policy.codes import VIAL_LENGTH, draw_code
from results.policy.refusals import NotFound
from tests.factories import NOW, make_course, make_section, perfect_readings

pytestmark = pytest.mark.django_db
HEADER = (
    "section,group,station,vial,standard_mass_g,unknown_mass_g,tube,replicate,"
    "taken_mL,percent_T,own_iron_percent"
)


@pytest.fixture
def course():
    course = make_course()
    make_section(course, "A1")
    vials = "vial,lot,iron_percent,u_iron_percent\nV1,L1,12.0,0.04\nV2,L1,12.0,0.04\n"
    import_vials(course_code=course.code, text=vials.encode(), now=NOW)
    return course


def rows_of(group, *, station="S1", vial="V1", mass="0.2100", own="12.0"):
    start = f"A1,{group},{station},{vial},{mass},0.2500"
    for number, (tube, percent_T) in enumerate(perfect_readings().items()):
        worked = own if number == 0 else ""
        yield f"{start},{tube},1,,{percent_T},{worked}"


def table(*groups):
    return "\n".join([HEADER, *(row for group in groups for row in group)]).encode()


def import_it(course, text, *, create=True, keep_good=False):
    return import_readings(
        course_code=course.code,
        text=text,
        create=create,
        keep_good=keep_good,
        now=NOW,
    )


def test_a_table_makes_what_is_missing_and_issues_the_vials(course):
    report = import_it(course, table(rows_of("1"), rows_of("2", vial="V2")))

    assert (report.n_groups, report.n_readings) == (2, 14)
    assert report.created == (
        "group 1 of section A1",
        "station S1",
        "group 2 of section A1",
    )
    assert Issue.objects.filter(vial__code="V2", group__code="2").exists()


def test_an_imported_table_is_computed(course):
    import_it(course, table(rows_of("1")))

    recompute.work_off(clock=lambda: NOW)

    assert Answer.objects.get().iron_percent == pytest.approx(12.0, abs=1e-3)
    assert Submission.objects.get().own_iron_percent == "12.0"


def test_a_table_may_hold_the_iron_in_the_first_flask(course):
    text = table(rows_of("1")).replace(b"own_iron_percent", b"own_iron_mg")

    import_it(course, text)

    assert Submission.objects.get().own_iron_mg == "12.0"


def test_importing_twice_stores_once(course):
    import_it(course, table(rows_of("1")))

    report = import_it(course, table(rows_of("1")))

    assert (report.n_groups, report.n_unchanged) == (0, 1)
    assert Submission.objects.count() == 1


def test_nothing_is_made_unless_asked(course):
    report = import_it(course, table(rows_of("1")), create=False)

    assert not report.imported
    assert str(report.problems[0]) == (
        "row 2, column group: There is no group “1” of section A1 in this course."
    )


def test_one_bad_group_keeps_the_whole_table_out(course):
    report = import_it(course, table(rows_of("1"), rows_of("2", mass="210.0")))

    assert not report.imported
    assert (report.problems[0].row, report.problems[0].column) == (9, "standard_mass_g")
    assert "milligrams" in report.problems[0].message
    assert not Submission.objects.exists()
    assert not Group.objects.exists()


def test_the_good_groups_come_in_if_one_chose_so(course):
    bad = rows_of("2", mass="210.0", station="S2")

    report = import_it(course, table(rows_of("1"), bad), keep_good=True)

    assert report.imported
    assert report.n_groups == 1
    assert not Station.objects.filter(code="S2").exists()


def test_a_malformed_row_is_named_and_the_rest_can_come_in(course):
    text = table(rows_of("1")) + b"\nA1,2,S1\n"

    assert import_it(course, text).problems[0].row == 9
    assert import_it(course, text, keep_good=True).n_groups == 1


def test_a_reading_that_cannot_be_is_named_at_its_row_and_column(course):
    rows = list(rows_of("1"))
    rows[2] = rows[2].replace(f",{perfect_readings()['3']},", ",130,")

    (problem,) = import_it(course, table(rows)).problems

    assert (problem.row, problem.column) == (4, "percent_T")


def test_rows_of_one_group_may_not_contradict_each_other(course):
    rows = list(rows_of("1"))
    rows[3] = rows[3].replace("0.2100", "0.2200")

    (problem,) = import_it(course, table(rows)).problems

    assert (problem.row, problem.column) == (5, "standard_mass_g")
    assert "differs from “0.2100” in row 2" in problem.message


def test_a_table_without_readings_is_refused(course):
    text = b"section,group,station,standard_mass_g,unknown_mass_g,tube\nA1,1,S,1,1,1\n"

    assert "percent_T or absorbance" in import_it(course, text).problems[0].message


def test_a_course_that_is_not_there_is_named(course):
    with pytest.raises(NotFound, match="no course NONE"):
        import_readings(
            course_code="NONE", text=table(), create=True, keep_good=False, now=NOW
        )


def test_a_table_in_absorbance_gives_the_same_iron(course):
    rows = [row.split(",") for row in rows_of("1")]
    for row in rows:
        row[9] = str(2 - math.log10(float(row[9])))
    text = table([",".join(row) for row in rows]).replace(b"percent_T", b"absorbance")

    import_it(course, text)
    recompute.work_off(clock=lambda: NOW)

    assert Answer.objects.get().iron_percent == pytest.approx(12.0, abs=1e-3)


def test_vials_come_in_once_and_a_changed_value_is_kept_beside_the_former(course):
    changed = b"vial,lot,iron_percent,u_iron_percent\nV1,L1,11.8,0.04\n"
    later = NOW.replace(hour=18)

    report = import_vials(course_code=course.code, text=changed, now=later)

    assert (report.n_vials, report.n_values) == (0, 1)
    values = AssignedValue.objects.order_by("valid_from")
    assert [value.iron_percent for value in values] == [12.0, 11.8]


@pytest.mark.parametrize(
    ("row", "column"),
    [
        (",L2,12,0.1", "vial"),
        ("V9,L2,0,0.1", "iron_percent"),
        ("V9,L2,12,-1", "u_iron_percent"),
        ("V9,L2,much,0.1", "iron_percent"),
    ],
)
def test_a_table_of_vials_with_a_problem_is_kept_out_whole(course, row, column):
    text = f"vial,lot,iron_percent,u_iron_percent\nV8,L2,12,0.1\n{row}\n"

    report = import_vials(course_code=course.code, text=text.encode(), now=NOW)

    assert column in {problem.column for problem in report.problems}
    assert not Vial.objects.filter(code="V8").exists()


def test_a_course_with_checked_labels_takes_no_other(course):
    course.vial_labels_checked = True
    course.save()
    good = draw_code(random.Random(5).randrange, VIAL_LENGTH)
    text = f"vial,lot,iron_percent,u_iron_percent\n{good},L2,12,0\nV8,L2,12,0\n"

    report = import_vials(course_code=course.code, text=text.encode(), now=NOW)

    assert [(one.row, one.column) for one in report.problems] == [(3, "vial")]
    assert not Vial.objects.filter(code=good).exists()


def test_a_lot_has_one_value_and_a_vial_one_row(course):
    text = (
        b"vial,lot,iron_percent,u_iron_percent\nV8,L2,12,0.1\nV9,L2,13,0.1\n"
        b"V8,L2,12,0.1\n"
    )

    report = import_vials(course_code=course.code, text=text, now=NOW)

    assert [problem.row for problem in report.problems] == [3, 4]
