"""A run over all plans, in parts that workers share."""

from django.db import models
from django.db.models import Q
from django.utils import timezone


class PlanRun(models.Model):
    """One reckoning of all plans, in parts that several workers share; it shows how far it is.

    It tells of no unit, and only those who run the service see it.
    """

    began_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)
    # false once all parts are done, or another run was begun instead
    under_way = models.BooleanField(default=True)
    units = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["under_way"], condition=Q(under_way=True), name="plan_run_under_way_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.began_at:%Y-%m-%d %H:%M}"


class PlanRunPart(models.Model):
    """Some units of a run, by their keys; it is done in one transaction or not at all."""

    run = models.ForeignKey(PlanRun, on_delete=models.CASCADE, related_name="parts")
    number = models.PositiveIntegerField()
    first_unit = models.BigIntegerField()
    last_unit = models.BigIntegerField()
    done_at = models.DateTimeField(null=True, blank=True)
    # plans that had changed, and units whose plan could not be reckoned
    moved = models.PositiveIntegerField(default=0)
    failed = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["run_id", "number"]
        constraints = [models.UniqueConstraint(fields=["run", "number"], name="plan_part_once")]

    def __str__(self) -> str:
        return f"{self.run}, {self.number}"
