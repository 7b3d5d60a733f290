"""The page on which a record of a lot's content is entered or corrected."""

from collections.abc import Mapping, Sequence

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from frontend.doors import for_staff
from frontend.preparing.record_form import (
    KINDS,
    MORE_ROWS,
    Paste,
    in_box,
    record_form,
    rows_typed,
    typed_again,
)
from frontend.pressed import row_number
from frontend.views.grading import actor_of
from results import issuing
from results.policy.access import Rights
from results.policy.assay_boxes import AssayKind
from results.policy.assay_tables import read_assay_table
from results.policy.assayed import USUAL_SIGMA_PERCENT
from results.policy.assays import read_assay
from results.policy.refusals import NotAdmitted, NotFound, Problem
from results.summaries.preparing.lots import LotSheet, lot_sheet

_Rows = Sequence[Mapping[str, str]]


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def record(
    request: HttpRequest, rights: Rights, course_code: str, lot_id: int, kind: str
) -> HttpResponse:
    """Show the form of a record, fill it in from a table, or enter it."""
    if kind not in KINDS:
        message = "There is no such kind of record."
        raise NotFound(message)
    sheet = lot_sheet(
        course_code, lot_id, sigma_percent=USUAL_SIGMA_PERCENT, rights=rights
    )
    page = _Page(request, sheet, AssayKind(kind))
    if request.method != "POST":
        return page.blank()
    if "more" in request.POST:
        return page.show(page.typed, rows_typed(page.kind, page.typed, more=MORE_ROWS))
    if "fill" in request.POST:
        return page.filled()
    return page.entered(rights)


class _Page:
    """One request for the form."""

    def __init__(self, request: HttpRequest, sheet: LotSheet, kind: AssayKind) -> None:
        self.request, self.sheet, self.kind = request, sheet, kind
        self.typed = request.POST.dict()
        self.replaces = row_number((request.POST or request.GET).get("replaces", ""))

    def show(
        self,
        typed: Mapping[str, str],
        rows: _Rows,
        problems: Sequence[Problem] = (),
        paste: Paste | None = None,
    ) -> HttpResponse:
        """Return the page with what was typed."""
        paste = paste or Paste(typed.get("pasted", ""))
        context = {
            "sheet": self.sheet,
            "form": record_form(self.kind, typed, rows, problems, paste),
            "replaces": self.replaces,
        }
        status = 422 if problems or paste.problems else 200
        template = "frontend/preparing/record.html"
        return render(self.request, template, context, status=status)

    def blank(self) -> HttpResponse:
        """Return an empty form, or one with the record that is to be corrected."""
        if not self.replaces:
            return self.show({"made_at": in_box(timezone.now())}, ())
        return self.show(*typed_again(self.sheet.record(self.replaces).record))

    def filled(self) -> HttpResponse:
        """Return the form with the rows of a pasted table."""
        rows = rows_typed(self.kind, self.typed)
        text = self.typed.get("pasted", "")
        table = read_assay_table(text.encode())
        said = [str(problem) for problem in table.problems]
        if table.kind not in (None, self.kind):
            said.append(f"The columns have to be {', '.join(self.kind.columns)}.")
        if said:
            return self.show(self.typed, rows, paste=Paste(text, tuple(said)))
        filled = [row for row in rows if any(row.values())]
        return self.show(self.typed | {"pasted": ""}, [*filled, *table.rows])

    def entered(self, rights: Rights) -> HttpResponse:
        """Enter the record, or return the form with what needs mending."""
        rows = rows_typed(self.kind, self.typed)
        lot_id = self.sheet.history.lot_id
        zone = timezone.get_current_timezone()
        correction = None
        if self.replaces:
            reason = self.typed.get("reason", "")
            correction = issuing.Correction(self.replaces, reason)
        try:
            done = issuing.record_assay(
                self.sheet.course,
                lot_id,
                read_assay(self.kind, self.typed, rows, zone=zone),
                correction=correction,
                actor=actor_of(self.request, rights),
                now=timezone.now(),
            )
        except NotAdmitted as refusal:
            return self.show(self.typed, rows, refusal.problems)
        opened = f" {done.n_opened} vials are retired: opened." if done.n_opened else ""
        messages.success(self.request, f"Entered.{opened}")
        return redirect("prepare-lot", self.sheet.course, lot_id)
