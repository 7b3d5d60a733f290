from datetime import timedelta

import pytest
from django.utils import timezone

from results.models import Finding
from tests import factories
from tests.api.bodies import body


def test_the_bench_sheet_tells_what_to_prepare(group_program):
    sheet = group_program.see("bench-sheet").json()

    assert [tube["tube"] for tube in sheet["tubes"]] == [*"12345", "U1", "U2"]
    assert sheet["standard_flasks"][0]["make_up_mL"] == 500
    assert sheet["vial"] == "417"
    assert sheet["stations"][0]["station"] == "4"
    assert sheet["limits"]["percent_T"] == {"low": 0, "high": 120}
    assert sheet["cautions"] == ["Wear goggles and gloves."]
    assert sheet["typed_before"] is None


@pytest.mark.parametrize(
    ("times", "door"),
    [
        ({}, "open"),
        ({"opens_at": 1}, "not_open"),
        ({"due_at": -1}, "late"),
        ({"closes_at": -1}, "closed"),
    ],
)
def test_the_bench_sheet_tells_whether_readings_are_accepted(
    group_program, bench, times, door
):
    for field, hours in times.items():
        setattr(bench.section, field, timezone.now() + timedelta(hours=hours))
    bench.section.save()

    assert group_program.see("bench-sheet").json()["door"] == door


def test_the_bench_sheet_brings_back_what_was_typed_before(group_program):
    group_program.send(body(own_slope="0.1990"))

    before = group_program.see("bench-sheet").json()["typed_before"]

    assert before["revision"] == 1
    assert before["own"]["own_slope"] == "0.1990"
    assert before["readings"][0]["tube"] == "1"


def test_submissions_are_listed_newest_first_in_pages(group_program):
    for key in "abc":
        group_program.send(body(), key=key)

    page = group_program.see("submissions", page_size=2).json()

    assert page["count"] == 3
    assert [one["revision"] for one in page["results"]] == [3, 2]
    assert [one["is_current"] for one in page["results"]] == [True, False]
    assert page["next"].endswith("/api/v1/submissions?page=2&page_size=2")


def test_a_result_waits_before_it_is_computed(group_program):
    group_program.send(body())

    result = group_program.see("submissions/1").json()

    assert result["submission"]["state"] == "waiting"
    assert (result["line"], result["iron"]) == (None, None)


def test_a_result_gives_back_the_slope_and_the_iron_content(group_program):
    group_program.send(body())
    factories.worked_off()

    result = group_program.see("submissions/1").json()

    # 11 100 L/(mol cm) over 55.845 g/mol, as the readings were made.
    assert result["line"]["slope_L_per_mg"] == pytest.approx(0.1988, rel=1e-4)
    assert result["iron"]["iron_percent"] == pytest.approx(12.0, rel=1e-4)
    assert result["iron"]["low"] <= result["iron"]["high"]
    assert len(result["line"]["points"]) == 7


def test_a_result_without_an_answer_says_why(group_program):
    flat = dict.fromkeys("12345", 50.0)
    group_program.send(body(percent_T=flat))
    factories.worked_off()

    result = group_program.see("submissions/1").json()

    assert result["submission"]["state"] == "no_answer"
    assert result["no_answer_because"] == "The line does not rise with concentration."


def test_findings_come_as_sentences_and_those_for_staff_not_at_all(
    group_program, bench
):
    group_program.send(body())
    factories.worked_off()
    submission = bench.group.submissions.get()
    for code, staff_only in (("tube_off", False), ("same_readings", True)):
        Finding.objects.create(
            submission=submission,
            code=code,
            tube="3",
            probability=0.8,
            audience="staff" if staff_only else "group",
        )

    findings = group_program.see("submissions/1").json()["findings"]

    assert [finding["code"] for finding in findings] == ["tube_off"]
    assert findings[0]["sentence"].startswith("Tube 3 ")


@pytest.mark.parametrize("policy", ["after_due", "on_release"])
def test_the_iron_content_is_kept_back_while_the_course_says_so(
    group_program, bench, policy
):
    bench.course.iron_shown = policy
    bench.course.save()
    group_program.send(body())
    factories.worked_off()

    result = group_program.see("submissions/1").json()

    assert result["iron"] is None
    assert result["iron_note"].startswith("Our value for your iron content is shown")
    assert result["line"]["slope_L_per_mg"]


def test_a_revision_that_does_not_exist_is_not_found(group_program):
    response = group_program.see("submissions/5")

    assert response.status_code == 404
    assert response.json()["detail"] == "There is no revision 5 of your readings."


def test_a_group_sees_nothing_of_another_groups_submissions(
    group_program, bench, program
):
    group_program.send(body())
    factories.make_group(bench.section, "2", slip=factories.slip_code(2))

    other = program.as_group(factories.slip_code(2))

    assert other.see("submissions").json()["count"] == 0
    assert other.see("submissions/1").status_code == 404
