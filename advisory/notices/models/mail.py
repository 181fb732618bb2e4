"""Mail and the messages of an account: what, to whom, why, when, with which result."""

import secrets
from typing import Any, ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.findings.models import Answer, Finding
from advisory.notices.enums import MailKind, MailState, SnoozeReason, Stage
from advisory.notices.quiet_hours import ALL_DAYS, FIRST_HOUR, LAST_HOUR, Window
from advisory.people.access import Access, Subject
from advisory.people.models import Invitation, Person
from advisory.plans.models import PlanItem
from advisory.register.models import Car, HandOver


def new_secret() -> str:
    """Return an address part that nobody can guess."""
    return secrets.token_urlsafe(24)


class NoticePreference(models.Model):
    """Which mails a person wants; `unsubscribe_secret` is the address of the click that stops them.

    What a person doesn't want by mail still stands in the account.
    """

    person = models.OneToOneField(
        Person, on_delete=models.CASCADE, related_name="notice_preference"
    )
    reminders_by_mail = models.BooleanField(_("reminders"), default=True)
    findings_by_mail = models.BooleanField(_("findings and answers"), default=True)
    bulletins_by_mail = models.BooleanField(_("bulletins"), default=True)
    # what waits at the workshop or the club, once a week; only for who asked for it
    weekly_by_mail = models.BooleanField(_("what waits, once a week"), default=False)
    # the days of the week (a bit each, Monday first) and the hours in which reminders may come
    mail_days = models.PositiveSmallIntegerField(default=ALL_DAYS)
    from_hour = models.PositiveSmallIntegerField(default=FIRST_HOUR)
    until_hour = models.PositiveSmallIntegerField(default=LAST_HOUR)
    # the workshop that built the unit hears what is overdue on it, while its owner consents
    tell_workshop = models.BooleanField(_("a word to the workshop"), default=False)
    unsubscribe_secret = models.CharField(max_length=64, unique=True, default=new_secret)
    # the address that a mail server said does not exist; nothing more goes there
    refused_address = models.EmailField(blank=True)
    # how often running it has been said, of which address, when last and in which words
    refusing_address = models.EmailField(blank=True)
    refused_times = models.PositiveSmallIntegerField(default=0)
    refused_last_at = models.DateTimeField(null=True, blank=True)
    refused_words = models.CharField(max_length=300, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ACCOUNT, owner="person")

    def __str__(self) -> str:
        return f"{self.person}: {'mail' if self.reminders_by_mail else 'no mail'}"

    @property
    def is_refused(self) -> bool:
        """Whether nothing more is sent to the person's address."""
        return bool(self.refused_address) and self.refused_address == self.person.email

    @property
    def is_doubted(self) -> bool:
        """Whether a mail server refused the person's address lately, and is asked again."""
        refusing = self.refused_times > 0 and self.refusing_address == self.person.email
        return refusing and not self.is_refused

    @property
    def window(self) -> Window:
        """When reminders may come."""
        return Window(self.mail_days, self.from_hour, self.until_hour)


class Mail(Dated):
    """One mail: written in the same transaction as what it tells, sent afterwards, once.

    What it says is put together at the moment of sending, from what it tells of (`reminders`,
    `finding_notices`, `invitation`, `offer`): only what still holds then, and what its receiver may
    then know. An invitation and a letter about getting in are written at once, since their token is
    known only then.
    """

    key = models.CharField(max_length=120, unique=True)
    kind = models.CharField(max_length=12, choices=MailKind.choices)
    person = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.CASCADE, related_name="mails"
    )
    invitation = models.ForeignKey(
        Invitation, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    offer = models.ForeignKey(
        HandOver, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    to = models.EmailField()
    subject = models.CharField(max_length=200, blank=True)
    text = models.TextField(blank=True)
    html = models.TextField(blank=True)
    headers: Any = models.JSONField(default=dict)
    message_id = models.CharField(max_length=200, unique=True)
    state = models.CharField(max_length=10, choices=MailState.choices, default=MailState.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    # a worker holds it until then; after that another may try
    held_until = models.DateTimeField(null=True, blank=True)
    next_try_at = models.DateTimeField(default=timezone.now)
    # who is told not to run a unit is told in the night as well
    any_hour = models.BooleanField(default=False)
    first_tried_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    # keys of the items that it was to remind of and that no longer held when it went
    left_out: Any = models.JSONField(default=list, blank=True)
    # why it was held back or could not be sent
    last_error = models.CharField(max_length=300, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ACCOUNT, owner="person")

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["state", "next_try_at"])]

    def __str__(self) -> str:
        return f"{self.key} to {self.to}: {self.state}"


class Reminder(models.Model):
    """That an item of a plan was brought to a person's notice, at one stage of one cycle.

    The person is the unit's owner; at a workshop, somebody to whom the owner wants it told that
    it is overdue. `after_snooze` is the key of the snooze whose end brought it up again, else 0.
    """

    item = models.ForeignKey(PlanItem, on_delete=models.CASCADE, related_name="reminders")
    cycle = models.PositiveIntegerField()
    stage = models.CharField(max_length=6, choices=Stage.choices)
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="reminders")
    after_snooze = models.PositiveBigIntegerField(default=0)
    raised_at = models.DateTimeField(default=timezone.now)
    # None: shown in the account only (the person wants no mail)
    mail = models.ForeignKey(
        Mail, null=True, blank=True, on_delete=models.SET_NULL, related_name="reminders"
    )
    read_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ACCOUNT, owner="person")

    class Meta:
        ordering = ["-raised_at", "-id"]
        indexes = [models.Index(fields=["person", "-raised_at"])]
        constraints = [
            models.UniqueConstraint(
                fields=["item", "cycle", "stage", "person", "after_snooze"],
                name="reminder_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.item}, cycle {self.cycle}, {self.stage}"


class Snooze(Dated):
    """That an owner wants to hear no more of an item for a while, and why.

    It holds back what is said, never what is due: the plan shows the item as before.
    """

    item = models.ForeignKey(PlanItem, on_delete=models.CASCADE, related_name="snoozes")
    cycle = models.PositiveIntegerField()
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="snoozes")
    reason = models.CharField(max_length=10, choices=SnoozeReason.choices)
    note = models.CharField(max_length=200, blank=True)
    # the day on which it is said again, and when that day begins where the person is
    until = models.DateField()
    ends_at = models.DateTimeField()
    # it ends before that with the next reading of the car
    until_reading = models.BooleanField(default=False)
    # taken back by the person, or replaced by another
    lifted_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ACCOUNT, owner="person")

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["item", "cycle", "person"])]

    def __str__(self) -> str:
        return f"{self.item}, cycle {self.cycle}, until {self.until}"


class ReadingRequest(models.Model):
    """That a person was asked what their car's odometer shows, and whether they said so."""

    car = models.ForeignKey(Car, on_delete=models.CASCADE, related_name="reading_requests")
    # of the unit of which only a reading can tell how near it is
    item = models.ForeignKey(PlanItem, on_delete=models.CASCADE, related_name="+")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="reading_requests")
    # counted up for each car: two runs at once ask once
    number = models.PositiveIntegerField()
    raised_at = models.DateTimeField(default=timezone.now)
    # the days of planning that it is expected to save, as reckoned then
    worth = models.FloatField()
    # None: shown in the account only
    mail = models.ForeignKey(
        Mail, null=True, blank=True, on_delete=models.SET_NULL, related_name="reading_requests"
    )
    # by the link in the mail
    answered_at = models.DateTimeField(null=True, blank=True)
    read_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ACCOUNT, owner="person")

    class Meta:
        ordering = ["-raised_at", "-id"]
        indexes = [models.Index(fields=["person", "-raised_at"])]
        constraints = [models.UniqueConstraint(fields=["car", "number"], name="reading_asked_once")]

    def __str__(self) -> str:
        return f"{self.car}, {self.raised_at:%Y-%m-%d}"


class FindingNotice(models.Model):
    """That a finding, or a word to one, was brought to a person's notice."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="finding_notices")
    finding = models.ForeignKey(Finding, on_delete=models.CASCADE, related_name="notices")
    # None: the finding itself was reported, or waits for its first answer longer than is meant
    answer = models.ForeignKey(
        Answer, null=True, blank=True, on_delete=models.CASCADE, related_name="notices"
    )
    late = models.BooleanField(default=False)
    raised_at = models.DateTimeField(default=timezone.now)
    mail = models.ForeignKey(
        Mail, null=True, blank=True, on_delete=models.SET_NULL, related_name="finding_notices"
    )
    read_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ACCOUNT, owner="person")

    class Meta:
        ordering = ["-raised_at", "-id"]
        indexes = [models.Index(fields=["person", "-raised_at"])]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "finding", "late"],
                condition=Q(answer=None),
                name="finding_told_once",
            ),
            models.UniqueConstraint(
                fields=["person", "answer"],
                condition=Q(answer__isnull=False),
                name="answer_told_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.finding} to {self.person}"


class CalendarFeed(Dated):
    """A secret address at which a person's plan can be read as a calendar; revocable."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="calendar_feeds")
    secret = models.CharField(max_length=64, unique=True, default=new_secret)
    revoked_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ACCOUNT, owner="person")

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.person}, {self.created_at:%Y-%m-%d}"
