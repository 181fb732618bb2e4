"""Plans in the admin: to look at only, for every change goes through an action."""

from typing import Any

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.look_only import LookOnlyAdmin
from advisory.plans.models import PlanItem, PlanRun, WorkDone
from advisory.plans.progress import Progress, progress_of


@admin.register(PlanItem)
class PlanItemAdmin(LookOnlyAdmin):
    """Items of plans, those that no longer apply as well."""

    list_display = ("unit", "work", "state", "forecast_date", "cycle", "in_force", "updated_at")
    list_filter = ("state", "work", "in_force")
    list_select_related = ("unit__design",)

    def get_queryset(self, request: HttpRequest) -> "QuerySet[PlanItem]":
        """Show all of them."""
        return PlanItem.everything.all()


@admin.register(WorkDone)
class WorkDoneAdmin(LookOnlyAdmin):
    """Work done."""

    list_display = ("unit", "work", "date", "in_time", "by")
    list_filter = ("work", "in_time")
    list_select_related = ("unit__design", "by")


# How often the page shows anew how far a run is.
SECONDS_BETWEEN = 5


@admin.register(PlanRun)
class PlanRunAdmin(LookOnlyAdmin):
    """Runs over all plans: how far the one is that is under way, and what came of the others."""

    list_display = ("began_at", "stands", "how_far", "time_spent", "units", "moved", "failed")
    list_display_links = None

    def changelist_view(self, request: HttpRequest, extra_context: Any = None) -> HttpResponse:
        """Show the runs, anew every few seconds while one is under way."""
        titled = {"title": _("Runs over all plans"), **(extra_context or {})}
        answer = super().changelist_view(request, titled)
        if PlanRun.objects.filter(under_way=True).exists():
            answer["Refresh"] = str(SECONDS_BETWEEN)
        return answer

    @admin.display(description=gettext_lazy("How far"))
    def how_far(self, run: PlanRun) -> SafeString:
        """Draw a bar, with the figures beside it."""
        found = self._progress(run)
        return format_html(
            '<progress max="{}" value="{}">{} %</progress> {}',
            found.parts or 1,
            found.done if found.parts else 1,
            found.percent,
            _("%(percent)d %% (%(done)d of %(parts)d parts)") % {
                "percent": found.percent, "done": found.done, "parts": found.parts
            },
        )  # fmt: skip

    @admin.display(description=gettext_lazy("Stands"))
    def stands(self, run: PlanRun) -> str:
        """Say whether it is under way, done, or was left for another."""
        if run.under_way:
            return _("Under way")
        return _("Done") if run.ended_at else _("Left for another run")

    @admin.display(description=gettext_lazy("Time"))
    def time_spent(self, run: PlanRun) -> str:
        """Say how long it took, or has taken so far."""
        if not run.under_way and run.ended_at is None:
            return ""
        seconds = int(self._progress(run).spent().total_seconds())
        return f"{seconds // 60}:{seconds % 60:02d}"

    @admin.display(description=gettext_lazy("Plans that moved"))
    def moved(self, run: PlanRun) -> int:
        """Say how many plans had changed."""
        return self._progress(run).moved

    @admin.display(description=gettext_lazy("Units that failed"))
    def failed(self, run: PlanRun) -> int:
        """Say how many could not be reckoned."""
        return self._progress(run).failed

    def _progress(self, run: PlanRun) -> Progress:
        if not hasattr(run, "progress"):
            run.progress = progress_of(run)  # type: ignore[attr-defined]  # once a row and page
        return run.progress  # type: ignore[attr-defined,no-any-return]
