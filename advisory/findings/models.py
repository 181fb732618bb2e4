"""What an owner saw on a unit, and what the workshop says to it."""

from typing import ClassVar

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.findings.enums import FindingState, Judgement
from advisory.people.access import Access
from advisory.people.models import Person
from advisory.register.enums import MeasuredQuantity
from advisory.register.models import Position, Unit


class Finding(Dated):
    """One matter at one position: what was seen, what was measured (m), and how it stands."""

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="findings")
    position = models.ForeignKey(
        Position, null=True, blank=True, on_delete=models.PROTECT, related_name="findings"
    )
    seen_on = models.DateField()
    text = models.TextField(_("what you saw"))
    shown = models.PositiveIntegerField(null=True, blank=True)
    quantity = models.CharField(max_length=20, choices=MeasuredQuantity.choices, blank=True)
    value = models.FloatField(null=True, blank=True)
    as_typed = models.CharField(max_length=40, blank=True)
    judgement = models.CharField(
        max_length=10, choices=Judgement.choices, default=Judgement.UNJUDGED
    )
    state = models.CharField(max_length=10, choices=FindingState.choices, default=FindingState.SENT)
    reported_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    seen_by_workshop_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop")

    class Meta:
        ordering = ["-created_at", "-id"]

    def __str__(self) -> str:
        return f"{self.unit}: {self.text[:40]}"


class FindingPhoto(Dated):
    """A photo of a finding, made smaller and without metadata; the original is not kept."""

    finding = models.ForeignKey(Finding, on_delete=models.CASCADE, related_name="photos")
    file = models.ImageField(upload_to="findings/", width_field="width", height_field="height")
    width = models.PositiveIntegerField(default=0)
    height = models.PositiveIntegerField(default=0)

    access: ClassVar[Access] = Access(
        owner="finding__unit__owner", workshop="finding__unit__workshop"
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.finding_id}: {self.file.name}"


class Answer(models.Model):
    """What the workshop says to a finding."""

    finding = models.ForeignKey(Finding, on_delete=models.CASCADE, related_name="answers")
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    text = models.TextField(_("answer"))

    access: ClassVar[Access] = Access(
        owner="finding__unit__owner", workshop="finding__unit__workshop"
    )

    class Meta:
        ordering = ["at", "id"]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d}: {self.text[:40]}"
