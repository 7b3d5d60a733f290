"""Submissions and what was computed from them: to read, never to edit."""

from typing import Any

from django.contrib import admin
from django.db.models import Model
from django.http import HttpRequest

from results.models import Answer, Finding, Reading, Submission


class ReadOnly:
    """For records that are superseded or recomputed, never edited."""

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Forbid adding."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Forbid changing."""
        return False


class ReadingInline(ReadOnly, admin.TabularInline):
    """The readings of a submission."""

    model = Reading
    can_delete = False
    ordering = ("position",)


class FindingInline(ReadOnly, admin.TabularInline):
    """What was noticed about a submission."""

    model = Finding
    can_delete = False


class AnswerInline(ReadOnly, admin.StackedInline):
    """What was computed from a submission."""

    model = Answer
    can_delete = False


@admin.register(Submission)
class SubmissionAdmin(ReadOnly, admin.ModelAdmin):
    """Every revision, with its readings, answer and findings."""

    list_display = (
        "section",
        "group",
        "revision",
        "is_current",
        "received_at",
        "is_late",
        "source",
        "station",
    )
    list_filter = ("group__section__course", "source", "is_current", "is_late")
    search_fields = ("group__code", "group__section__code", "vial__code")
    list_select_related = ("group__section", "station")
    date_hierarchy = "received_at"
    inlines = (AnswerInline, FindingInline, ReadingInline)

    @admin.display(description="section", ordering="group__section__code")
    def section(self, submission: Submission) -> Model:
        """Return the group's section."""
        return submission.group.section
