"""Lots, vials and who holds them; values show inside a lot only, never in a list."""

from django.contrib import admin

from results.admin.choosing import ChoosesByName
from results.models import AssignedValue, Issue, Lot, Vial


class AssignedValueInline(admin.TabularInline):
    """The values assigned to a lot, from when each holds."""

    model = AssignedValue
    extra = 0


@admin.register(Lot)
class LotAdmin(admin.ModelAdmin):
    """Lots."""

    list_display = ("code", "course")
    list_filter = ("course",)
    search_fields = ("code",)
    list_select_related = ("course",)
    inlines = (AssignedValueInline,)


@admin.register(Vial)
class VialAdmin(admin.ModelAdmin):
    """Vials."""

    list_display = ("code", "lot", "course")
    list_filter = ("course", "lot")
    search_fields = ("code",)
    list_select_related = ("course", "lot")


@admin.register(Issue)
class IssueAdmin(ChoosesByName, admin.ModelAdmin):
    """Who holds which vial, and who held it."""

    list_display = ("vial", "group", "issued_at", "ended_at")
    list_filter = ("vial__course",)
    search_fields = ("vial__code", "group__code")
    list_select_related = ("vial", "group")
    autocomplete_fields = ("vial", "group")
