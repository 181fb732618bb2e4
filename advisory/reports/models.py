"""Reports as they were given: once finished, never changed."""

from datetime import date
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

    # a digest of all that it rests on; one made anew on the same needs no reckoning
    rests_on = models.CharField(max_length=64, blank=True, editable=False)
    # of one that was taken over from an earlier one: the day of its figures
    figures_on = models.DateField(null=True, blank=True)
    # of one that was prepared in the night: when it was
    stood_at = models.DateTimeField(null=True, blank=True)

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

    @property
    def of_day(self) -> date:
        """The day of its figures."""
        return self.figures_on or self.on

    def held_parts(self) -> list[tuple[str, Any]]:
        """Return the tables of all its choices."""
        return list(self.parts.values_list("choice", "tables"))


class PreparedReport(models.Model):
    """A large club's report, reckoned in the night and told to nobody until somebody asks for it.

    It has no `access`: nobody reads it. As nothing of it was told, it takes nothing away from what
    later reports may tell; each night's replaces the one before.
    """

    organisation = models.OneToOneField(
        Organisation, on_delete=models.CASCADE, related_name="prepared_report"
    )
    on = models.DateField()
    figures_on = models.DateField(null=True, blank=True)
    made_at = models.DateTimeField()
    method_version = models.CharField(max_length=20)
    rests_on = models.CharField(max_length=64)
    # the reports that stood then: what may be told was weighed against these
    after: Any = models.JSONField(default=list)
    about: Any = models.JSONField(default=dict)
    behind = models.BinaryField(default=bytes)
    parts: Any = models.JSONField(default=list)

    def __str__(self) -> str:
        return f"{self.organisation}, prepared {self.on}"

    @property
    def of_day(self) -> date:
        """The day of its figures."""
        return self.figures_on or self.on

    def held_parts(self) -> list[tuple[str, Any]]:
        """Return the tables of all its choices."""
        return [(choice, tables) for choice, tables in self.parts]


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
