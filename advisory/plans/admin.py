"""Plans in the admin: to look at only, for every change goes through an action."""

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest

from advisory.plans.models import PlanItem, WorkDone
from advisory.register.admin import LookOnly

if TYPE_CHECKING:
    ModelAdmin = admin.ModelAdmin[Any]
else:
    ModelAdmin = admin.ModelAdmin


@admin.register(PlanItem)
class PlanItemAdmin(LookOnly, ModelAdmin):
    """Items of plans, those that no longer apply as well."""

    list_display = ("unit", "work", "state", "forecast_date", "cycle", "in_force", "updated_at")
    list_filter = ("state", "work", "in_force")
    list_select_related = ("unit__design",)

    def get_queryset(self, request: HttpRequest) -> "QuerySet[PlanItem]":
        """Show all of them."""
        return PlanItem.everything.all()


@admin.register(WorkDone)
class WorkDoneAdmin(LookOnly, ModelAdmin):
    """Work done."""

    list_display = ("unit", "work", "date", "in_time", "by")
    list_filter = ("work", "in_time")
    list_select_related = ("unit__design", "by")
