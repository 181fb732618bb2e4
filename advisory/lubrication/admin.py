"""Oils in the admin: to look at only, for every change goes through an action."""

from django.contrib import admin

from advisory.common.look_only import LookOnlyAdmin
from advisory.lubrication.models import Lubricant, OilAdvice, OilArrangement, OilService


@admin.register(Lubricant)
class LubricantAdmin(LookOnlyAdmin):
    """Oils."""

    list_display = ("name", "family", "code", "owner", "workshop")
    list_filter = ("family",)
    list_select_related = ("owner", "workshop")


@admin.register(OilArrangement)
class OilArrangementAdmin(LookOnlyAdmin):
    """How units are oiled."""

    list_display = ("unit", "from_date", "feed", "filtration")
    list_filter = ("filtration",)
    list_select_related = ("unit__design",)


@admin.register(OilService)
class OilServiceAdmin(LookOnlyAdmin):
    """What was done with the oil."""

    list_display = ("unit", "date", "kind", "lubricant")
    list_filter = ("kind",)
    list_select_related = ("unit__design", "lubricant")


@admin.register(OilAdvice)
class OilAdviceAdmin(LookOnlyAdmin):
    """Advice as it was given."""

    list_display = ("unit", "computed_at", "method", "method_version")
    list_select_related = ("unit__design",)
