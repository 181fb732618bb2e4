"""The jobs' tallies, to look at only."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from advisory.common.models import JobTally


@admin.register(JobTally)
class JobTallies(admin.ModelAdmin):  # type: ignore[type-arg]  # not at run time
    """How often each job ran, when last, and for how long."""

    list_display = ("name", "done", "failed", "last_ended_at", "last_seconds", "seconds")
    readonly_fields = list_display
    fields = list_display

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Refuse: jobs are counted as they run."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse."""
        return False
