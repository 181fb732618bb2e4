"""What an owner saw on a unit, with its photos, and how it stands."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.findings.enums import (
    OWNERS_TURN,
    UNANSWERED,
    WORKSHOPS_TURN,
    Cause,
    FindingState,
    Instruction,
    Judgement,
)
from advisory.findings.marks import DamageMark
from advisory.findings.photos import PreparedPhoto
from advisory.people.access import Access
from advisory.people.models import Person
from advisory.register.enums import MeasuredQuantity
from advisory.register.models import Position, Unit

# What was never sent is the owner's alone.
SENT_ONLY = {"sent_at__isnull": False}
SENT_ONLY_OF_ITS_FINDING = {f"finding__{path}": value for path, value in SENT_ONLY.items()}


class Finding(Dated):
    """One matter at one position: what was seen, what was measured (m), and how it stands."""

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="findings")
    position = models.ForeignKey(
        Position, null=True, blank=True, on_delete=models.PROTECT, related_name="findings"
    )
    seen_on = models.DateField()
    text = models.TextField(_("what you saw"))
    # what it is called in the trade, picked from a list
    mark = models.CharField(max_length=20, choices=DamageMark.choices, blank=True)
    shown = models.PositiveIntegerField(null=True, blank=True)
    quantity = models.CharField(max_length=20, choices=MeasuredQuantity.choices, blank=True)
    value = models.FloatField(null=True, blank=True)
    as_typed = models.CharField(max_length=40, blank=True)
    judgement = models.CharField(
        max_length=10, choices=Judgement.choices, default=Judgement.UNJUDGED
    )
    state = models.CharField(max_length=10, choices=FindingState.choices, default=FindingState.KEPT)
    reported_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    # None: written down for the owner alone, there was nobody to send it to
    sent_at = models.DateTimeField(null=True, blank=True)
    seen_by_workshop_at = models.DateTimeField(null=True, blank=True)
    # when the workshop said something to it first
    first_answered_at = models.DateTimeField(null=True, blank=True)
    # the workshop's standing word: until another, or until it is closed
    instruction = models.CharField(max_length=10, choices=Instruction.choices, blank=True)
    instructed_at = models.DateTimeField(null=True, blank=True)
    # the way to put it right that the owner picked last
    agreed = models.ForeignKey(
        "findings.Way", null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    cause = models.CharField(_("cause"), max_length=20, choices=Cause.choices, blank=True)
    cause_found = models.TextField(_("what was found"), blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    # over the form's key and all that it carried: the same form sent twice makes one finding
    digest = models.CharField(max_length=64, blank=True, editable=False)

    access: ClassVar[Access] = Access(
        owner="unit__owner", workshop="unit__workshop", workshop_where=SENT_ONLY
    )

    class Meta:
        ordering = ["-created_at", "-id"]
        indexes = [models.Index(fields=["state", "-sent_at"])]
        constraints = [
            models.UniqueConstraint(
                fields=["reported_by", "digest"], condition=~Q(digest=""), name="finding_once"
            ),
            models.CheckConstraint(
                condition=Q(state=FindingState.KEPT, sent_at=None)
                | Q(state=FindingState.CLOSED)
                | (~Q(state=FindingState.KEPT) & Q(sent_at__isnull=False)),
                name="finding_kept_or_sent",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit}: {self.text[:40]}"

    @property
    def workshops_turn(self) -> bool:
        """Whether the workshop is to say something next."""
        return self.state in WORKSHOPS_TURN

    @property
    def owners_turn(self) -> bool:
        """Whether the owner is to answer, or to pick a way to put it right."""
        return self.state in OWNERS_TURN

    @property
    def waits_for_first_answer(self) -> bool:
        """Whether the workshop has it and has said nothing to it yet."""
        return self.first_answered_at is None and self.state in UNANSWERED

    @property
    def is_open(self) -> bool:
        """Whether it is not closed yet."""
        return self.state != FindingState.CLOSED


class FindingPhoto(Dated):
    """A photo of a finding, made smaller and without metadata; the original is not kept."""

    finding = models.ForeignKey(Finding, on_delete=models.CASCADE, related_name="photos")
    # None: it came with the finding itself, else with what either side said to it
    answer = models.ForeignKey(
        "findings.Answer", null=True, blank=True, on_delete=models.CASCADE, related_name="photos"
    )
    file = models.FileField(upload_to="findings/")
    width = models.PositiveIntegerField(default=0)
    height = models.PositiveIntegerField(default=0)

    access: ClassVar[Access] = Access(
        owner="finding__unit__owner",
        workshop="finding__unit__workshop",
        workshop_where=SENT_ONLY_OF_ITS_FINDING,
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.finding_id}: {self.file.name}"


class WaitingPhoto(Dated):
    """A photo of a finding whose form was not accepted yet: ready to be kept, or gone in a day."""

    LONGEST_NAME = 200

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="waiting_photos")
    by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="waiting_photos")
    client_key = models.CharField(max_length=64)
    name = models.CharField(max_length=LONGEST_NAME)
    file = models.FileField(upload_to="findings/")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()

    # seen by nobody but whoever is writing, whoever owns the unit
    access: ClassVar[Access] = Access(owner="by")

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["created_at"])]

    def __str__(self) -> str:
        return self.name

    def prepared(self) -> PreparedPhoto:
        """Return it as a finding takes it."""
        with self.file.open("rb") as file:
            return PreparedPhoto(file.read(), self.width, self.height)
