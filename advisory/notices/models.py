"""Everything that leaves the service: what, to whom, why, when, with which result."""

import secrets
from typing import ClassVar

from django.db import models
from django.utils import timezone

from advisory.common.models import Dated
from advisory.notices.enums import MailKind, MailState, Stage
from advisory.people.access import Access
from advisory.people.models import Person
from advisory.plans.models import PlanItem


def new_secret() -> str:
    """Return an address part that nobody can guess."""
    return secrets.token_urlsafe(24)


class NoticePreference(models.Model):
    """Whether a person wants mail; `unsubscribe_secret` is the address of the one click that stops it."""

    person = models.OneToOneField(
        Person, on_delete=models.CASCADE, related_name="notice_preference"
    )
    reminders_by_mail = models.BooleanField(default=True)
    unsubscribe_secret = models.CharField(max_length=64, unique=True, default=new_secret)

    access: ClassVar[Access] = Access(owner="person")

    def __str__(self) -> str:
        return f"{self.person}: {'mail' if self.reminders_by_mail else 'no mail'}"


class Mail(Dated):
    """One mail: written in the same transaction as what it tells, sent afterwards, once."""

    key = models.CharField(max_length=120, unique=True)
    kind = models.CharField(max_length=12, choices=MailKind.choices)
    person = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.CASCADE, related_name="mails"
    )
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField()
    headers: "models.JSONField" = models.JSONField(default=dict)
    message_id = models.CharField(max_length=200, unique=True)
    state = models.CharField(max_length=10, choices=MailState.choices, default=MailState.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    # a worker holds it until then; after that another may try
    held_until = models.DateTimeField(null=True, blank=True)
    next_try_at = models.DateTimeField(default=timezone.now)
    sent_at = models.DateTimeField(null=True, blank=True)
    last_error = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["state", "next_try_at"])]

    def __str__(self) -> str:
        return f"{self.key} to {self.to}: {self.state}"


class Reminder(models.Model):
    """That an item of a plan was brought to a person's notice, at one stage of one cycle."""

    item = models.ForeignKey(PlanItem, on_delete=models.CASCADE, related_name="reminders")
    cycle = models.PositiveIntegerField()
    stage = models.CharField(max_length=6, choices=Stage.choices)
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="reminders")
    raised_at = models.DateTimeField(default=timezone.now)
    # None: shown in the account only (the person wants no mail)
    mail = models.ForeignKey(
        Mail, null=True, blank=True, on_delete=models.SET_NULL, related_name="reminders"
    )
    read_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(owner="person")

    class Meta:
        ordering = ["-raised_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["item", "cycle", "stage", "person"], name="reminder_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.item}, cycle {self.cycle}, {self.stage}"


class CalendarFeed(Dated):
    """A secret address at which a person's plan can be read as a calendar; revocable."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="calendar_feeds")
    secret = models.CharField(max_length=64, unique=True, default=new_secret)
    revoked_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(owner="person")

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.person}, {self.created_at:%Y-%m-%d}"
