"""Weekly patterns and moves by whole weeks."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from results.policy.refusals import NotAdmitted
from results.policy.timetable import WeeklyPattern, moved, weeks_between

BERLIN = ZoneInfo("Europe/Berlin")


def pattern(meetings="Mon 14:00\nWed 9.30", **changes):
    fields = {
        "first_week": date(2026, 10, 8),
        "first_code": "A1",
        "due_after_days": 7,
        "closes_after_days": None,
    }
    return WeeklyPattern(meetings=meetings, **{**fields, **changes})


def places(written):
    with pytest.raises(NotAdmitted) as caught:
        written.sections(BERLIN)
    return {problem.where[0] for problem in caught.value.problems}


def test_a_line_becomes_a_section_in_the_week_of_the_day_named():
    first, second = pattern().sections(BERLIN)

    assert (first.code, second.code) == ("A1", "A2")
    assert first.opens_at == datetime(2026, 10, 5, 14, 0, tzinfo=BERLIN)
    assert second.opens_at == datetime(2026, 10, 7, 9, 30, tzinfo=BERLIN)
    assert second.due_at == datetime(2026, 10, 14, 9, 30, tzinfo=BERLIN)
    assert second.closes_at is None


def test_the_hour_stays_when_the_clocks_change():
    # Summer time ended in Berlin on 25 October 2026 (IANA time zone database).
    (section,) = pattern("Fri 14:00", first_week=date(2026, 10, 23)).sections(BERLIN)

    assert section.due_at.hour == 14
    assert (section.due_at.astimezone(UTC) - section.opens_at.astimezone(UTC)).days == 7
    assert section.due_at.utcoffset() != section.opens_at.utcoffset()


@pytest.mark.parametrize("line", ["Mon", "14:00", "Moo 14:00", "Mon 25:00", "Mon 9:75"])
def test_a_line_that_is_no_weekday_and_hour_is_named(line):
    assert places(pattern(line)) == {"meetings"}


def test_nothing_typed_and_days_that_are_none_are_named():
    assert places(pattern(" \n")) == {"meetings"}
    assert places(pattern("Mon 9:00\n" * 101)) == {"meetings"}
    assert places(pattern(due_after_days=0)) == {"due_after_days"}
    assert places(pattern(closes_after_days=3)) == {"closes_after_days"}


@pytest.mark.parametrize(
    "line", ["monday 14:00", "MO 14:00", "Mon. 14.00", "Mo, 14:00"]
)
def test_weekdays_are_read_as_people_write_them(line):
    (section,) = pattern(line).sections(BERLIN)

    assert section.opens_at == datetime(2026, 10, 5, 14, 0, tzinfo=BERLIN)


@pytest.mark.parametrize(
    ("first", "starts", "weeks"),
    [
        (date(2025, 9, 9), date(2026, 9, 7), 52),
        (date(2025, 9, 9), date(2025, 9, 9), 0),
        (date(2025, 9, 9), date(2025, 9, 10), 1),
        (date(2025, 9, 9), date(2025, 9, 1), -1),
    ],
)
def test_the_first_class_falls_on_the_first_day_or_within_six_after(
    first, starts, weeks
):
    assert weeks_between(first, starts) == weeks


def test_a_move_keeps_weekday_and_hour_on_the_wall():
    summer = datetime(2026, 7, 6, 14, 0, tzinfo=BERLIN)

    winter = moved(summer.astimezone(UTC), 26, BERLIN)

    assert (winter.weekday(), winter.hour) == (0, 14)
    assert moved(None, 26, BERLIN) is None
