"""Pages of coordinators: from a file of people to what it changes in a course."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from frontend.doors import for_staff
from frontend.preparing.carried import (
    carried_grid,
    carried_lines,
    carry_grid,
    carry_lines,
)
from frontend.preparing.roster_form import (
    as_fields,
    differences,
    in_one_line,
    kinds_of,
    match_form,
    proposed_matching,
    typed_matching,
)
from frontend.views.grading import actor_of
from frontend.views.preparing_roster import people_page
from results import rosters
from results.policy.access import Rights
from results.policy.refusals import NotAdmitted, Problem
from results.policy.roster.grid import LARGEST_MB, Grid
from results.policy.roster.matching import Matching
from results.policy.roster.reading import read_file
from results.policy.roster.refusals import CannotRoster, NotARoster, RosterChanged
from results.summaries.preparing.rosters import course_roster, roster_preview

_LARGEST_BYTES = LARGEST_MB * 2**20


@never_cache
@require_POST
@for_staff
def roster_file(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Go from a file to its columns, to the list of changes, to carrying it out."""
    course_roster(course_code, rights=rights)
    try:
        grid = _grid(request, course_code)
    except NotARoster as refusal:
        return people_page(request, rights, course_code, unread=refusal)
    except CannotRoster as refusal:
        return people_page(request, rights, course_code, refused=refusal.sentence)
    page = _Pages(request, rights, course_code, grid)
    if "file" in request.FILES:
        return page.proposal()
    matching, problems = typed_matching(request.POST, grid)
    if problems or "again" in request.POST:
        return page.match(matching, problems)
    return page.carry_out(matching) if "carry" in request.POST else page.list(matching)


def _grid(request: HttpRequest, course_code: str) -> Grid:
    upload = request.FILES.get("file")
    if upload is not None:
        # One byte more than is allowed tells that there is more.
        content = upload.read(_LARGEST_BYTES + 1)
        return read_file(content, today=timezone.localdate())
    carried = request.POST.get("carried", "")
    if not carried:
        message = "Choose a file first."
        raise CannotRoster(message)
    return carried_grid(carried, user_id=request.user.pk or 0, course_code=course_code)


class _Pages:
    """The pages on a file's way, for one request."""

    def __init__(
        self, request: HttpRequest, rights: Rights, course_code: str, grid: Grid
    ) -> None:
        self._request = request
        self._rights = rights
        self._code = course_code
        self._grid = grid
        self._user_id = request.user.pk or 0

    def proposal(self) -> HttpResponse:
        """Show what the columns seem to mean."""
        found = course_roster(self._code, rights=self._rights)
        sections = (one.section for one in found.sections)
        return self.match(proposed_matching(self._grid, sections))

    def match(
        self,
        matching: Matching,
        problems: tuple[Problem, ...] = (),
        unread: NotARoster | None = None,
    ) -> HttpResponse:
        """Ask what the columns mean."""
        context = {
            "course": course_roster(self._code, rights=self._rights),
            "grid": self._grid,
            "form": match_form(self._grid, matching),
            "wrong": {str(one.where[0]): one.message for one in problems},
            "unread": unread,
            "carried": self._carried(),
            "now": timezone.now(),
        }
        status = 422 if problems or unread else 200
        template = "frontend/preparing/roster_match.html"
        return render(self._request, template, context, status=status)

    def list(self, matching: Matching, refused: str = "") -> HttpResponse:
        """Show what would change; if it was refused, what changed since."""
        try:
            preview = roster_preview(
                self._code, self._grid, matching, rights=self._rights
            )
        except NotAdmitted as refusal:
            return self.match(matching, refusal.problems)
        except NotARoster as refusal:
            return self.match(matching, unread=refusal)
        lines = preview.reading.plan.lines
        context = {
            "course": course_roster(self._code, rights=self._rights),
            "grid": self._grid,
            "preview": preview,
            "plan": preview.reading.plan,
            "kinds": kinds_of(preview.reading.plan),
            "headline": in_one_line(preview.reading.plan),
            "refused": refused,
            "since": differences(self._lines_before(), lines) if refused else None,
            "fields": as_fields(self._request.POST),
            "carried": self._carried(),
            "listed": carry_lines(lines, user_id=self._user_id, course_code=self._code),
            "now": timezone.now(),
        }
        template = "frontend/preparing/roster_list.html"
        status = 409 if refused else 200
        return render(self._request, template, context, status=status)

    def carry_out(self, matching: Matching) -> HttpResponse:
        """Do what the list said, or show what changed since."""
        try:
            plan = rosters.enrol_people(
                self._code,
                self._grid,
                matching,
                seen=self._request.POST.get("seen", ""),
                actor=actor_of(self._request, self._rights),
                now=timezone.now(),
            )
        except RosterChanged as refusal:
            return self.list(matching, refused=refusal.sentence)
        except (NotAdmitted, NotARoster):
            # The list names what stands in the way.
            return self.list(matching)
        done = len(plan.lines)
        messages.success(
            self._request,
            f"Carried out: {done} change{'' if done == 1 else 's'}, as listed.",
        )
        return redirect("prepare-roster", self._code)

    def _carried(self) -> str:
        return carry_grid(self._grid, user_id=self._user_id, course_code=self._code)

    def _lines_before(self) -> tuple[str, ...]:
        listed = self._request.POST.get("listed", "")
        return carried_lines(listed, user_id=self._user_id, course_code=self._code)
