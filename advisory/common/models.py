"""Base models and the append-only audit trail."""

from typing import Any, NoReturn

from django.conf import settings
from django.db import models
from django.utils import timezone


class Dated(models.Model):
    """A row that knows when it was made."""

    created_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        abstract = True


class AuditEntry(models.Model):
    """One change of state: who did what to which row, and when. Rows are only ever added."""

    at = models.DateTimeField(default=timezone.now, editable=False)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    action = models.CharField(max_length=60)
    target_type = models.CharField(max_length=60)
    target_id = models.BigIntegerField()
    data = models.JSONField(default=dict)

    class Meta:
        ordering = ["-id"]
        verbose_name_plural = "audit entries"
        indexes = [models.Index(fields=["target_type", "target_id"])]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.action} {self.target_type} {self.target_id}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Add the row; a row that stands is never written again."""
        if self.pk is not None:
            raise TypeError("An audit entry is never changed.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse: the trail is append-only."""
        raise TypeError("An audit entry is never deleted.")


class JobTally(models.Model):
    """How often a job ran and for how long, over all processes: one row a job."""

    name = models.CharField(max_length=120, unique=True)
    done = models.PositiveBigIntegerField(default=0)
    failed = models.PositiveBigIntegerField(default=0)
    seconds = models.FloatField(default=0.0)
    last_seconds = models.FloatField(default=0.0)
    last_ended_at = models.DateTimeField()

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "job tallies"

    def __str__(self) -> str:
        return f"{self.name}: {self.done} done, {self.failed} failed"
