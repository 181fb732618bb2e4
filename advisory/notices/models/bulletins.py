"""That a bulletin was brought to a person's notice."""

from typing import ClassVar

from django.db import models
from django.utils import timezone

from advisory.notices.models.mail import Mail
from advisory.people.access import Access, Subject
from advisory.people.models import Person
from advisory.plans.models.bulletins import Bulletin


class BulletinNotice(models.Model):
    """That an owner was told of a bulletin: once, however many of their units it concerns."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="bulletin_notices")
    bulletin = models.ForeignKey(Bulletin, on_delete=models.CASCADE, related_name="notices")
    raised_at = models.DateTimeField(default=timezone.now)
    # None: shown in the account only
    mail = models.ForeignKey(
        Mail, null=True, blank=True, on_delete=models.SET_NULL, related_name="bulletin_notices"
    )
    # among the messages; that the bulletin itself was opened stands with its units
    read_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ACCOUNT, owner="person")

    class Meta:
        ordering = ["-raised_at", "-id"]
        indexes = [models.Index(fields=["person", "-raised_at"])]
        constraints = [
            models.UniqueConstraint(fields=["person", "bulletin"], name="bulletin_told_once")
        ]

    def __str__(self) -> str:
        return f"{self.bulletin} to {self.person}"
