"""The register in the admin: to look at only, for every change goes through an action."""

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.http import HttpRequest

from advisory.register.models import Build, BuildMeasurement, Car, Design, Fitting, Unit

if TYPE_CHECKING:
    ModelAdmin = admin.ModelAdmin[Any]
    TabularInline = admin.TabularInline[Any, Any]
else:
    ModelAdmin = admin.ModelAdmin
    TabularInline = admin.TabularInline


class LookOnly:
    """Nothing is added, changed or deleted."""

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse."""
        return False


class MeasurementInline(LookOnly, TabularInline):
    """The figures of a sheet."""

    model = BuildMeasurement
    extra = 0


@admin.register(Build)
class BuildAdmin(LookOnly, ModelAdmin):
    """Build sheets."""

    list_display = ("unit", "built_on", "revision", "state", "workshop")
    list_select_related = ("unit__design", "workshop")
    inlines = (MeasurementInline,)


@admin.register(Unit)
class UnitAdmin(LookOnly, ModelAdmin):
    """Units."""

    list_display = ("__str__", "serial", "design", "workshop")
    list_select_related = ("design", "workshop")
    search_fields = ("serial", "name")


@admin.register(Car, Design, Fitting)
class OtherAdmin(LookOnly, ModelAdmin):
    """Cars, designs, stays in cars."""
