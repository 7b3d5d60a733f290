"""Who works in a course, how they sign in, and what was changed."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from results.models import Course, Duty, DutyNote, Invitation, Section
from results.models.courses import coordinated_course
from results.models.staffing import linked_outside, with_other_duties
from results.policy.access import Actor, Role
from results.policy.staffing import Account, Deed, deed_in_words, why_no_link

# More than a term's changes; the rest is in the administration.
_MOST_NOTES = 200


@dataclass(frozen=True, slots=True)
class Colleague:
    """One person of a course's staff.

    Attributes
    ----------
    sections : tuple of str
        Codes of the sections that the person assists.
    link_until : datetime or None
        How long the open link to set a password is good.
    has_expired_link : bool
        Whether the open link is too old.
    why_no_link : str
        Why the viewer gives the person no link; empty if they may.
    """

    user_id: int
    username: str
    name: str
    coordinates: bool
    sections: tuple[str, ...]
    is_closed: bool
    is_linked: bool
    has_password: bool
    has_come: bool
    link_until: datetime | None
    has_expired_link: bool
    why_no_link: str

    @property
    def is_waited_for(self) -> bool:
        """Whether the person has no way in yet."""
        return not self.has_password and not self.is_linked


@dataclass(frozen=True, slots=True)
class Change:
    """One line of the history."""

    at: datetime
    sentence: str


@dataclass(frozen=True, slots=True)
class CourseStaff:
    """The staff of a course: coordinators first, then by name; changes, newest first.

    Attributes
    ----------
    sections : tuple of str
        Codes of all sections.
    """

    course: str
    title: str
    people: tuple[Colleague, ...]
    sections: tuple[str, ...]
    changes: tuple[Change, ...]

    @property
    def n_coordinators(self) -> int:
        """How many people coordinate the course and can sign in."""
        return sum(one.coordinates and not one.is_closed for one in self.people)

    @property
    def n_assistants(self) -> int:
        """How many people assist a section."""
        return sum(bool(one.sections) for one in self.people)

    @property
    def unassisted(self) -> tuple[str, ...]:
        """Sections that nobody assists."""
        assisted = {code for one in self.people for code in one.sections}
        return tuple(code for code in self.sections if code not in assisted)


def course_staff(course_code: str, *, actor: Actor, now: datetime) -> CourseStaff:
    """Return the staff of a course; seven queries, however many people.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=actor.rights)
    duties = list(
        Duty.objects.filter(course=course)
        .select_related("user", "section")
        .order_by("user__username", "section__code")
    )
    people = {duty.user_id: duty.user for duty in duties}
    return CourseStaff(
        course=course.code,
        title=course.title,
        people=_colleagues(people, duties, actor=actor, now=now),
        sections=tuple(
            Section.objects.filter(course=course)
            .order_by("code")
            .values_list("code", flat=True)
        ),
        changes=_changes(course),
    )


def _colleagues(
    people: dict[int, User], duties: Iterable[Duty], *, actor: Actor, now: datetime
) -> tuple[Colleague, ...]:
    links = dict(
        Invitation.objects.filter(
            user__in=people, used_at__isnull=True, withdrawn_at__isnull=True
        ).values_list("user_id", "expires_at")
    )
    linked = linked_outside(people)
    elsewhere = with_other_duties(people, coordinated=actor.rights.coordinated)
    coordinators: set[int] = set()
    sections: dict[int, list[str]] = {}
    for duty in duties:
        if duty.role == Role.COORDINATOR:
            coordinators.add(duty.user_id)
        elif duty.section is not None:
            sections.setdefault(duty.user_id, []).append(duty.section.code)
    colleagues = (
        _colleague(
            user,
            coordinates=user.pk in coordinators,
            sections=sections.get(user.pk, ()),
            expires_at=links.get(user.pk),
            account=_account(user, linked=linked, elsewhere=elsewhere),
            seen_by=(actor, now),
        )
        for user in people.values()
    )
    return tuple(sorted(colleagues, key=lambda one: not one.coordinates))


def _account(user: User, *, linked: set[int], elsewhere: set[int]) -> Account:
    return Account(
        user_id=user.pk,
        is_active=user.is_active,
        is_keeper=user.is_staff or user.is_superuser,
        is_linked=user.pk in linked,
        works_elsewhere=user.pk in elsewhere,
    )


def _colleague(
    user: User,
    *,
    coordinates: bool,
    sections: Collection[str],
    expires_at: datetime | None,
    account: Account,
    seen_by: tuple[Actor, datetime],
) -> Colleague:
    actor, now = seen_by
    is_good = expires_at is not None and expires_at > now
    return Colleague(
        user_id=user.pk,
        username=user.username,
        name=user.get_full_name(),
        coordinates=coordinates,
        sections=tuple(sections),
        is_closed=not user.is_active,
        is_linked=account.is_linked,
        has_password=user.has_usable_password(),
        has_come=user.last_login is not None,
        link_until=expires_at if is_good else None,
        has_expired_link=expires_at is not None and not is_good,
        why_no_link=why_no_link(account, asked_by=actor.user_id),
    )


def _changes(course: Course) -> tuple[Change, ...]:
    notes = DutyNote.objects.filter(course=course).order_by("-at", "-pk")[:_MOST_NOTES]
    return tuple(
        Change(
            note.at,
            deed_in_words(
                Deed(note.deed),
                person=note.person_name,
                by=note.by_name,
                section=note.section_code,
            ),
        )
        for note in notes
    )
