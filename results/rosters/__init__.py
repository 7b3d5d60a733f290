"""Actions that set up a course: its sections, groups, stations, protocol, slips."""

from results.rosters.course import adopt_protocol, make_course
from results.rosters.enrolling import enrol_people
from results.rosters.filling import fill_groups
from results.rosters.forgetting import forget_people, forget_student
from results.rosters.grouping import (
    dissolve_group,
    make_group,
    move_to_group,
    set_places,
)
from results.rosters.joining import join_group
from results.rosters.new_course import (
    Like,
    NewCourse,
    begin_course,
    check_new_course,
    coordinate_alone,
    copy_course,
)
from results.rosters.people import (
    add_person,
    let_leave,
    let_return,
    move_to_section,
)
from results.rosters.policies import keep_policies
from results.rosters.prep import keep_prep_plan
from results.rosters.protocols import adopt_protocol_seen
from results.rosters.sections import (
    keep_sections,
    make_groups,
    make_sections,
    remove_section,
)
from results.rosters.slips import issue_course_slips, issue_section_slips, issue_slip
from results.rosters.station_list import (
    TypedStation,
    keep_stations,
    make_stations,
    remove_station,
)
from results.rosters.stations import note_station

__all__ = [
    "Like",
    "NewCourse",
    "TypedStation",
    "add_person",
    "adopt_protocol",
    "adopt_protocol_seen",
    "begin_course",
    "check_new_course",
    "coordinate_alone",
    "copy_course",
    "dissolve_group",
    "enrol_people",
    "fill_groups",
    "forget_people",
    "forget_student",
    "issue_course_slips",
    "issue_section_slips",
    "issue_slip",
    "join_group",
    "keep_policies",
    "keep_prep_plan",
    "keep_sections",
    "keep_stations",
    "let_leave",
    "let_return",
    "make_course",
    "make_group",
    "make_groups",
    "make_sections",
    "make_stations",
    "move_to_group",
    "move_to_section",
    "note_station",
    "remove_section",
    "remove_station",
    "set_places",
]
