"""The jobs' tallies, to look at only."""

from django.contrib import admin

from advisory.common.look_only import LookOnlyAdmin
from advisory.common.models import JobTally


@admin.register(JobTally)
class JobTallies(LookOnlyAdmin):
    """How often each job ran, when last, and for how long."""

    list_display = ("name", "done", "failed", "last_ended_at", "last_seconds", "seconds")
    readonly_fields = list_display
    fields = list_display
