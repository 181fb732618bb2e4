"""What a workshop did about a unit that needs a word."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from advisory.notices.enums import FollowedBy, FollowReason
from advisory.notices.models.mail import Mail
from advisory.people.access import Access
from advisory.people.models import Person
from advisory.register.models import Unit


class FollowUp(models.Model):
    """One thing that was done about one reason: a letter, a call, or set aside until a day.

    `occasion` names what the reason was that time (a cycle of the plan, a finding): of each there
    is one letter, whoever writes it. Its owner may read all of it; when the unit is sold it goes.
    """

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="follow_ups")
    # whose the unit was, and to whom a letter went
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="follow_ups")
    reason = models.CharField(max_length=16, choices=FollowReason.choices)
    occasion = models.CharField(max_length=60)
    kind = models.CharField(max_length=8, choices=FollowedBy.choices)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    raised_at = models.DateTimeField(default=timezone.now)
    until = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    mail = models.ForeignKey(
        Mail, null=True, blank=True, on_delete=models.SET_NULL, related_name="follow_ups"
    )
    read_at = models.DateTimeField(null=True, blank=True)
    # made once for each form: the same form sent twice makes one
    client_key = models.CharField(max_length=64, blank=True, editable=False)

    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop")

    class Meta:
        ordering = ["-raised_at", "-id"]
        indexes = [models.Index(fields=["person", "kind", "-raised_at"])]
        constraints = [
            models.UniqueConstraint(
                fields=["unit", "reason", "occasion"],
                condition=Q(kind=FollowedBy.LETTER),
                name="follow_up_written_once",
            ),
            models.UniqueConstraint(
                fields=["unit", "reason", "occasion", "kind", "client_key"],
                condition=~Q(client_key=""),
                name="follow_up_form_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit}: {self.get_reason_display()}, {self.get_kind_display()}"
