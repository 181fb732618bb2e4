"""Reports as they were given: once finished, never changed."""

from typing import Any, ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from advisory.common.models import Dated
from advisory.people.access import Access, Subject
from advisory.people.models import Organisation, Person


class FleetReport(Dated):
    """A club's report of one day, with all the choices that it may be asked for.

    A report that is still being reckoned has no `finished_at`; nothing of it is shown until all of
    it stands.
    """

    organisation = models.ForeignKey(
        Organisation, on_delete=models.CASCADE, related_name="fleet_reports"
    )
    on = models.DateField()
    # of a report that the clock had made: "2026-1" is the first half of the year
    half_year = models.CharField(max_length=8, blank=True)
    made_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    finished_at = models.DateTimeField(null=True, blank=True)
    # how far the reckoning has come, for who waits
    parts_done = models.PositiveIntegerField(default=0)
    parts_wanted = models.PositiveIntegerField(default=0)
    method_version = models.CharField(max_length=20, blank=True)
    # what may be asked for: designs and years, and who read their names then
    about: Any = models.JSONField(default=dict)
    # over all parts: two reports of the same content bear the same
    digest = models.CharField(max_length=64, blank=True, editable=False)
    # who brought what to which cell, for what later reports may tell; never shown to anybody
    behind = models.BinaryField(blank=True, default=bytes, editable=False)

    access: ClassVar[Access] = Access(subject=Subject.ORGANISATION, organisation="organisation")

    class Meta:
        ordering = ["-on", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["organisation", "on"], name="fleet_report_once_a_day"),
            models.UniqueConstraint(
                fields=["organisation", "half_year"],
                condition=~Q(half_year=""),
                name="fleet_report_once_a_half_year",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.organisation}, {self.on}"


class FleetReportPart(models.Model):
    """The tables of one choice of designs and years, in SI."""

    report = models.ForeignKey(FleetReport, on_delete=models.CASCADE, related_name="parts")
    choice = models.CharField(max_length=60)
    tables: Any = models.JSONField()
    made_at = models.DateTimeField(default=timezone.now)

    access: ClassVar[Access] = Access(
        subject=Subject.ORGANISATION, organisation="report__organisation"
    )

    class Meta:
        ordering = ["report_id", "id"]
        constraints = [
            models.UniqueConstraint(fields=["report", "choice"], name="fleet_report_part_once")
        ]

    def __str__(self) -> str:
        return f"{self.report}: {self.choice}"
