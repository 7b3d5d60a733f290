"""A group and its grade: asking for a re-check."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from frontend.doors import for_groups
from results import grading
from results.policy.language import tell
from results.summaries.signed_in import SignedIn


@never_cache
@require_POST
@for_groups
def ask(request: HttpRequest, who: SignedIn) -> HttpResponse:
    """Take a request for a re-check."""
    text = request.POST.get("text", "")
    grading.ask_for_recheck(who.group_id, text=text, now=timezone.now())
    messages.success(request, tell("Asked. The answer will stand beside your grade."))
    return redirect(f"{reverse('bench-result-current')}#grade")
