"""Addresses that stand in printed codes: a camera opens them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from frontend import doors
from frontend.stickers import note_station, sheet_address


@never_cache
@require_safe
def slip(request: HttpRequest) -> HttpResponse:
    """Show the sign-in, whoever is signed in; the slip's code is in the fragment."""
    return render(request, "frontend/home.html", {"typed": "", "problem": ""})


@never_cache
@require_safe
def station(request: HttpRequest, code: str) -> HttpResponse:
    """Choose a station on the bench sheet, after signing in if need be."""
    if doors.signed_in_group(request) is not None:
        return redirect(sheet_address(code))
    note_station(request, code)
    messages.info(request, "The station is noted. Sign in with your slip first.")
    return redirect("home")
