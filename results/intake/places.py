"""Where a table's rows belong: sections, groups, stations and vials on record."""

from datetime import datetime

from results.models import Group, Issue, Section, Station, Vial
from results.models.courses import find_course
from results.policy.refusals import NotAdmitted, Problem
from results.policy.typed import LONGEST_CODE, fold


class Places:
    """The places of one course; makes what is missing, if asked to.

    Attributes
    ----------
    created : list of str
        What was made, in words.
    """

    def __init__(self, course_code: str, *, create: bool, now: datetime) -> None:
        self._course = find_course(course_code)
        self._create = create
        self._now = now
        self.created: list[str] = []

    def mark(self) -> int:
        """Return a mark to which `forget` can go back."""
        return len(self.created)

    def forget(self, mark: int) -> None:
        """Take back the words about what was made after a mark and then undone."""
        del self.created[mark:]

    def group(self, *, section: str, group: str, station: str, vial: str) -> int:
        """Return a group, with its station and vial in place.

        Raises
        ------
        NotAdmitted
            The section or group is missing and is not to be made, or cannot be.
        """
        found_section = self._section(section)
        found_group = self._group(found_section, group)
        if self._create:
            self._make_station(station)
            self._issue(vial, found_group)
        return found_group.pk

    def _section(self, code: str) -> Section:
        found = Section.objects.filter(course=self._course, code=code).first()
        if found is not None:
            return found
        self._refuse_unless_made("section", code)
        return Section.objects.create(course=self._course, code=code)

    def _group(self, section: Section, code: str) -> Group:
        found = Group.objects.filter(section=section, code=code).first()
        if found is not None:
            return found
        self._refuse_unless_made("group", code, f" of section {section.code}")
        return Group.objects.create(section=section, code=code)

    def _refuse_unless_made(self, kind: str, code: str, place: str = "") -> None:
        if not code:
            message = f"The {kind} is missing."
            raise NotAdmitted([Problem((kind,), message)])
        if not self._create:
            message = f"There is no {kind} “{code}”{place} in this course."
            raise NotAdmitted([Problem((kind,), message)])
        _check_length(kind, code)
        self.created.append(f"{kind} {code}{place}")

    def _make_station(self, code: str) -> None:
        if not code:
            return
        known = Station.objects.filter(course=self._course)
        if fold(code) in {fold(one) for one in known.values_list("code", flat=True)}:
            return
        _check_length("station", code)
        Station.objects.create(course=self._course, code=code)
        self.created.append(f"station {code}")

    def _issue(self, code: str, group: Group) -> None:
        vial = Vial.objects.filter(course=self._course, code=code).first()
        if vial is not None:
            Issue.objects.hand_over(vial_id=vial.pk, group_id=group.pk, now=self._now)


def _check_length(kind: str, code: str) -> None:
    if len(code) > LONGEST_CODE:
        message = f"Shorten the code of the {kind} to {LONGEST_CODE} signs."
        raise NotAdmitted([Problem((kind,), message)])
