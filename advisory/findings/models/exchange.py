"""What both sides say to a finding, in its order, and what hangs on it."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from advisory.findings.enums import (
    OF_THE_OWNER,
    Currency,
    Instruction,
    PartOrigin,
    Said,
)
from advisory.findings.models.findings import SENT_ONLY_OF_ITS_FINDING, Finding
from advisory.findings.models.measurings import MeasuredValue
from advisory.people.access import Access, Subject
from advisory.people.models import Organisation, Person
from advisory.register.models import Position


class Answer(models.Model):
    """One word to a finding: the workshop's answer or question, or what its owner says to that."""

    finding = models.ForeignKey(Finding, on_delete=models.CASCADE, related_name="answers")
    kind = models.CharField(max_length=10, choices=Said.choices, default=Said.ANSWER)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    text = models.TextField(_("answer"))
    instruction = models.CharField(max_length=10, choices=Instruction.choices, blank=True)
    # over the form's key and the text, as for a finding
    digest = models.CharField(max_length=64, blank=True, editable=False)

    access: ClassVar[Access] = Access(
        owner="finding__unit__owner",
        workshop="finding__unit__workshop",
        workshop_where=SENT_ONLY_OF_ITS_FINDING,
    )

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["by", "digest"], condition=~Q(digest=""), name="answer_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d}: {self.text[:40]}"

    @property
    def told(self) -> Instruction | None:
        """The instruction that it carries, if any."""
        return Instruction(self.instruction) if self.instruction else None

    @property
    def of_the_owner(self) -> bool:
        """Whether the owner said it."""
        return self.kind in OF_THE_OWNER


class AskedMeasurement(models.Model):
    """One more measurement that the workshop asks for; `value` is what the owner measured then."""

    answer = models.OneToOneField(Answer, on_delete=models.CASCADE, related_name="asked")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="+")
    how = models.CharField(_("how to measure it"), max_length=500, blank=True)
    value = models.OneToOneField(
        MeasuredValue, null=True, blank=True, on_delete=models.SET_NULL, related_name="asked"
    )
    # the owner's word that brought it
    brought_by = models.OneToOneField(
        Answer, null=True, blank=True, on_delete=models.SET_NULL, related_name="measured"
    )

    access: ClassVar[Access] = Access(
        owner="answer__finding__unit__owner",
        workshop="answer__finding__unit__workshop",
        workshop_where={f"answer__{path}": to for path, to in SENT_ONLY_OF_ITS_FINDING.items()},
    )

    class Meta:
        ordering = ["answer_id"]

    def __str__(self) -> str:
        return f"{self.position}: {self.how}"


class Way(models.Model):
    """One way to put a finding right: what is done, its price, the days it takes, the part."""

    answer = models.ForeignKey(Answer, on_delete=models.CASCADE, related_name="ways")
    finding = models.ForeignKey(Finding, on_delete=models.CASCADE, related_name="ways")
    text = models.CharField(_("what is done"), max_length=500)
    part = models.CharField(max_length=10, choices=PartOrigin.choices)
    # None: it was told to an owner who has passed the unit on since
    price = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    currency = models.CharField(max_length=3, choices=Currency.choices)
    days = models.PositiveSmallIntegerField(_("days in the workshop"))
    # the owner's word that picked it
    picked_by = models.OneToOneField(
        Answer, null=True, blank=True, on_delete=models.SET_NULL, related_name="picked"
    )

    access: ClassVar[Access] = Access(
        owner="finding__unit__owner",
        workshop="finding__unit__workshop",
        workshop_where=SENT_ONLY_OF_ITS_FINDING,
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.text


class AnsweringAim(models.Model):
    """Within how many days a workshop means to say something first to a finding."""

    workshop = models.OneToOneField(
        Organisation, on_delete=models.CASCADE, related_name="answering_aim"
    )
    days = models.PositiveSmallIntegerField()

    access: ClassVar[Access] = Access(subject=Subject.ORGANISATION, organisation="workshop")

    def __str__(self) -> str:
        return f"{self.workshop}: {self.days}"
