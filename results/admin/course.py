"""Courses, sections, groups, stations and protocols in the administration."""

from typing import Any

from django.contrib import admin, messages
from django.db.models import Count, QuerySet
from django.http import HttpRequest
from django.utils import timezone

from results.admin.staff import DutyInline, note_duties
from results.models import Course, Group, Protocol, Section, Station, Student
from results.rosters import issue_slip

admin.site.site_header = "Benchwide: administration"
admin.site.site_title = "Benchwide"
admin.site.index_title = "Records"


@admin.register(Course)
class CourseAdmin(admin.ModelAdmin):
    """Courses with their staff."""

    list_display = (
        "code",
        "title",
        "term",
        "iron_shown",
        "own_answer_first",
        "section_count",
    )
    search_fields = ("code", "title")
    inlines = (DutyInline,)

    def get_queryset(self, request: HttpRequest) -> QuerySet[Course]:
        """Count the sections along with the courses."""
        courses: QuerySet[Course] = super().get_queryset(request)
        return courses.annotate(n_sections=Count("sections"))

    def save_formset(
        self, request: HttpRequest, form: Any, formset: Any, change: Any
    ) -> None:
        """Keep the history of staff along with their duties."""
        super().save_formset(request, form, formset, change)
        note_duties(request, formset)

    @admin.display(description="sections", ordering="n_sections")
    def section_count(self, course: Course) -> int:
        """Return how many sections the course has."""
        return int(getattr(course, "n_sections", 0))


@admin.register(Section)
class SectionAdmin(admin.ModelAdmin):
    """Sections with their times."""

    list_display = ("code", "course", "opens_at", "due_at", "closes_at", "released_at")
    list_filter = ("course",)
    search_fields = ("code", "course__code")
    list_select_related = ("course",)
    date_hierarchy = "due_at"


class StudentInline(admin.TabularInline):
    """Students of a group."""

    model = Student
    fields = readonly_fields = ("name", "number", "left_at")
    extra = 0
    can_delete = False

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Forbid it: who joins a group leaves a trace of when."""
        return False


@admin.register(Group)
class GroupAdmin(admin.ModelAdmin):
    """Groups with their students and slips."""

    list_display = ("code", "section", "slip_issued_at")
    list_filter = ("section__course", "section")
    search_fields = ("code", "section__code", "students__name")
    list_select_related = ("section",)
    inlines = (StudentInline,)
    actions = ("issue_new_slips",)

    @admin.action(description="Issue a new slip (the former one stops working)")
    def issue_new_slips(self, request: HttpRequest, groups: QuerySet[Group]) -> None:
        """Show each new code once; only its digest is kept."""
        for group in groups.select_related("section"):
            code = issue_slip(group.pk, now=timezone.now())
            messages.info(
                request, f"Section {group.section}, group {group}: {code} (note it now)"
            )


@admin.register(Station)
class StationAdmin(admin.ModelAdmin):
    """Stations; their page for coordinators takes them out of service, and why."""

    list_display = ("code", "course", "place", "scale", "step", "in_service", "note")
    readonly_fields = ("in_service", "note")
    list_filter = ("course", "in_service", "scale")
    search_fields = ("code", "place")
    list_select_related = ("course",)


@admin.register(Protocol)
class ProtocolAdmin(admin.ModelAdmin):
    """Protocols; to read only, a new version comes in with import_protocol."""

    list_display = ("course", "version", "title", "adopted_at", "frozen")
    list_filter = ("course",)
    list_select_related = ("course",)
    readonly_fields = ("course", "version", "title", "document", "adopted_at")

    @admin.display(description="frozen by use", boolean=True)
    def frozen(self, protocol: Protocol) -> bool:
        """Whether a submission was made under this version."""
        return protocol.is_frozen

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Forbid it: a document typed here would not be checked."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Allow it only for versions that nothing was made under."""
        if obj is not None and obj.is_frozen:
            return False
        return super().has_delete_permission(request, obj)
