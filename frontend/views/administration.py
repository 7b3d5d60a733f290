"""The door of the administration."""

from django.contrib import admin
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme, urlencode
from django.views.decorators.cache import never_cache


@never_cache
def sign_in(request: HttpRequest) -> HttpResponse:
    """Send whoever asks for the administration through the one sign-in of staff.

    A door of its own would let an address go on guessing passwords there.
    """
    wanted = request.GET.get("next", "")
    if not url_has_allowed_host_and_scheme(wanted, allowed_hosts=None):
        wanted = reverse("admin:index")
    if admin.site.has_permission(request):
        return redirect(wanted)
    if request.user.is_authenticated:
        # The sign-in would send them back here, and so on without end.
        raise PermissionDenied
    return redirect(f"{reverse('staff-sign-in')}?{urlencode({'next': wanted})}")
