"""Actions that set up a course: its sections, groups, stations, protocol, slips."""

from results.rosters.course import adopt_protocol, make_course
from results.rosters.forgetting import forget_people, forget_student
from results.rosters.joining import join_group
from results.rosters.slips import issue_section_slips, issue_slip
from results.rosters.stations import note_station

__all__ = [
    "adopt_protocol",
    "forget_people",
    "forget_student",
    "issue_section_slips",
    "issue_slip",
    "join_group",
    "make_course",
    "note_station",
]
