"""The register in the admin: to look at only, for every change goes through an action."""

from django.contrib import admin

from advisory.common.look_only import LookOnlyAdmin, LookOnlyInline
from advisory.register.models import Build, BuildMeasurement, Car, Design, Fitting, Unit


class MeasurementInline(LookOnlyInline):
    """The figures of a sheet."""

    model = BuildMeasurement
    extra = 0


@admin.register(Build)
class BuildAdmin(LookOnlyAdmin):
    """Build sheets."""

    list_display = ("unit", "built_on", "revision", "state", "workshop")
    list_select_related = ("unit__design", "workshop")
    inlines = (MeasurementInline,)


@admin.register(Unit)
class UnitAdmin(LookOnlyAdmin):
    """Units."""

    list_display = ("__str__", "serial", "design", "workshop")
    list_select_related = ("design", "workshop")
    search_fields = ("serial", "name")


@admin.register(Car, Design, Fitting)
class OtherAdmin(LookOnlyAdmin):
    """Cars, designs, stays in cars."""
