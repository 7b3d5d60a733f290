"""Staff sign in with a name and a password, change it, and sign out."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.contrib.auth.views import LoginView, LogoutView, PasswordChangeView
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from frontend import doors
from results import intake
from results.policy.language import tell

#: Marks a session that began at the college.
SIGNED_ON = "signed_on"


class StaffSignIn(LoginView):
    """Sign a member of staff in with name and password."""

    template_name = "frontend/staff_sign_in.html"
    redirect_authenticated_user = True

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Refuse an address that guesses."""
        if intake.seconds_to_wait(doors.address_of(request), now=timezone.now()):
            context = self.get_context_data(form=AuthenticationForm(request))
            context["too_many"] = tell(intake.TOO_MANY)
            return self.render_to_response(context, status=429)
        return super().post(request, *args, **kwargs)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Have every name that the template reads."""
        college = settings.SIGN_ON.name if settings.SIGN_ON else ""
        return {
            "too_many": "",
            "college": college,
            **super().get_context_data(**kwargs),
        }

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Begin a session that ends with the day."""
        doors.sign_staff_in(self.request, form.get_user())
        return redirect(self.get_success_url())

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """Count a wrong try."""
        intake.count_wrong_try(doors.address_of(self.request), now=timezone.now())
        return self.render_to_response(self.get_context_data(form=form), status=422)


class StaffSignOut(LogoutView):
    """Sign a member of staff out; who came from the college is told about it."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """End the session."""
        signed_on = request.session.get(SIGNED_ON, False)
        answer = super().post(request, *args, **kwargs)
        return redirect("signed-out") if signed_on and settings.SIGN_ON else answer


@method_decorator([never_cache, sensitive_post_parameters()], name="dispatch")
class ChangePassword(PasswordChangeView):
    """Change one's own password; sessions elsewhere and tokens end."""

    template_name = "frontend/change_password.html"
    success_url = reverse_lazy("staff-home")

    def dispatch(self, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Refuse whoever has no password here, and an address that guesses."""
        user = self.request.user
        if user.is_authenticated and not user.has_usable_password():
            sentence = "You sign in at your college; no password is kept here."
            return self._refuse(sentence, status=422)
        now = timezone.now()
        if intake.seconds_to_wait(doors.address_of(self.request), now=now):
            return self._refuse(tell(intake.TOO_MANY), status=429)
        return super().dispatch(*args, **kwargs)

    def _refuse(self, sentence: str, *, status: int) -> HttpResponse:
        context = {"sentence": sentence}
        return render(self.request, "frontend/refusal.html", context, status=status)

    def form_valid(self, form: PasswordChangeForm) -> HttpResponse:
        """Change it and stay."""
        answer = super().form_valid(form)
        messages.success(self.request, "Your password is changed.")
        return answer

    def form_invalid(self, form: PasswordChangeForm) -> HttpResponse:
        """Count a wrong password; one that is too easy is no guess."""
        if "old_password" in form.errors:
            intake.count_wrong_try(doors.address_of(self.request), now=timezone.now())
        return self.render_to_response(self.get_context_data(form=form), status=422)
