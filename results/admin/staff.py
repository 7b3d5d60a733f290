"""Duties, open links and identities in the administration."""

from typing import Any

from django.contrib import admin
from django.core.exceptions import ValidationError
from django.forms.models import BaseInlineFormSet
from django.http import HttpRequest
from django.utils import timezone

from results.admin.choosing import ChoosesByName
from results.models import Course, Duty, Invitation, OutsideIdentity
from results.policy.access import Actor, Rights, Role
from results.policy.staffing import Deed, LastCoordinator
from results.rosters.staff.duties import add_note


class DutyFormSet(BaseInlineFormSet):
    """The duties of a course: somebody coordinates it who did so before."""

    def clean(self) -> None:
        """Refuse to leave the course without a coordinator."""
        super().clean()
        if self.instance.pk is None or any(self.errors):
            return
        Course.objects.select_for_update().get(pk=self.instance.pk)
        gone = {form.instance.pk for form in self.deleted_forms}
        held = Duty.objects.filter(course=self.instance, role=Role.COORDINATOR)
        stays = held.filter(user__is_active=True).exclude(pk__in=gone)
        new = any(
            form.cleaned_data.get("role") == Role.COORDINATOR
            for form in self.extra_forms
            if form not in self.deleted_forms
        )
        if held.filter(pk__in=gone).exists() and not (new or stays.exists()):
            raise ValidationError(LastCoordinator(self.instance.code).sentence)


class DutyInline(ChoosesByName, admin.TabularInline):
    """Staff of a course; a duty is given or taken, never rewritten."""

    model = Duty
    formset = DutyFormSet
    extra = 1
    autocomplete_fields = ("user", "section")

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Forbid it: the history knows what was given and what was taken."""
        return False


def note_duties(request: HttpRequest, formset: Any) -> None:
    """Add what was changed in the administration to the history of the staff."""
    by = Actor(request.user.pk or 0, request.user.get_username(), Rights())
    changed = [(one, Deed.GIVEN) for one in formset.new_objects]
    changed += [(one, Deed.TAKEN) for one in formset.deleted_objects]
    for duty, deed in changed:
        add_note(
            duty.course,
            duty.user,
            deed,
            section=duty.section,
            actor=by,
            now=timezone.now(),
        )


class ToRead(admin.ModelAdmin):
    """Records that only actions make."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Forbid it."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Forbid it."""
        return False


@admin.register(Invitation)
class InvitationAdmin(ToRead):
    """Links to set a password; deleting one ends it."""

    list_display = (
        "user",
        "course",
        "made_at",
        "expires_at",
        "used_at",
        "withdrawn_at",
    )
    list_select_related = ("user", "course")


@admin.register(OutsideIdentity)
class OutsideIdentityAdmin(ToRead):
    """Who is who at the college; deleting one parts the account from it."""

    list_display = ("user", "issuer", "subject", "linked_at")
    list_select_related = ("user",)
    search_fields = ("user__username", "subject")
