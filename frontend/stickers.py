"""The station that a sticker has chosen, until the bench sheet has it."""

from dataclasses import replace

from django.contrib import messages
from django.http import HttpRequest, QueryDict
from django.urls import reverse

from frontend.typed_sheet import TypedSheet
from results.policy.typed import fold
from results.summaries.bench import BenchSheet

_NOTED = "station"
_LONGEST_CODE = 40


def note_station(request: HttpRequest, code: str) -> None:
    """Remember a station over signing in."""
    request.session[_NOTED] = code[:_LONGEST_CODE]


def sheet_address(code: str) -> str:
    """Return the address of the bench sheet with a station chosen."""
    query = QueryDict(mutable=True)
    query["station"] = code[:_LONGEST_CODE]
    return f"{reverse('bench-sheet')}?{query.urlencode()}"


def noted_address(request: HttpRequest) -> str:
    """Return the sheet's address with the station noted before; empty if none was."""
    code = request.session.pop(_NOTED, "")
    return sheet_address(code) if code else ""


def follow_sticker(
    request: HttpRequest, sheet: BenchSheet, typed: TypedSheet
) -> TypedSheet:
    """Choose the station that the address names, with its scale; or say why not."""
    asked = request.GET.get("station", "")
    if not asked:
        return typed
    found = next((s for s in sheet.stations if fold(s.code) == fold(asked)), None)
    if found is None:
        messages.warning(
            request,
            f"Station {asked[:_LONGEST_CODE]} is not one of this course. "
            "Choose yours from the list.",
        )
        return typed
    if not found.in_service:
        messages.warning(
            request, f"Station {found.code} is out of service. Please take another one."
        )
        return typed
    chosen = {"station": found.code, "scale": found.scale}
    return replace(typed, values={**typed.values, **chosen})
