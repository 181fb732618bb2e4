"""A workshop's own system, and what is told to it."""

import secrets
from typing import Any, ClassVar
from uuid import uuid4

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.findings.models import Finding
from advisory.notices.enums import WebhookEvent, WebhookState
from advisory.people.access import Access, Subject
from advisory.people.models import Organisation

LONGEST_ADDRESS = 500


def new_nonce() -> str:
    """Return what a secret is worked out from; without the service's key it opens nothing."""
    return secrets.token_hex(16)


def new_message_id() -> str:
    """Return the id by which a receiver knows a message that comes twice."""
    return f"msg_{uuid4().hex}"


class Webhook(Dated):
    """Where a workshop's own system listens; its secret is worked out (`webhooks/signing.py`).

    For a day after a change of secret both are signed with, so that a receiver can be moved over.
    """

    organisation = models.OneToOneField(
        Organisation, on_delete=models.CASCADE, related_name="webhook"
    )
    url = models.CharField(_("address"), max_length=LONGEST_ADDRESS)
    nonce = models.CharField(max_length=32, default=new_nonce, editable=False)
    former_nonce = models.CharField(max_length=32, blank=True, editable=False)
    former_until = models.DateTimeField(null=True, blank=True, editable=False)
    # taken away by the workshop: nothing is written for it, and what waits is held back
    stopped_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ORGANISATION, organisation="organisation")

    def __str__(self) -> str:
        return f"{self.organisation}: {self.url}"


class WebhookMessage(Dated):
    """One message to a workshop's system: written with what it tells, delivered afterwards.

    `message_id` stays the same however often it is tried, so that a receiver takes it once. What it
    says is put together at each try: ids and links, and only what the workshop may still see.
    """

    organisation = models.ForeignKey(
        Organisation, on_delete=models.CASCADE, related_name="webhook_messages"
    )
    # the same event of the same row is told once
    key = models.CharField(max_length=120, unique=True)
    event = models.CharField(max_length=30, choices=WebhookEvent.choices)
    # None: a trial
    finding = models.ForeignKey(
        Finding, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    # further ids of what it tells (the way that was picked)
    detail: Any = models.JSONField(default=dict)
    message_id = models.CharField(max_length=60, unique=True, default=new_message_id)
    state = models.CharField(
        max_length=10, choices=WebhookState.choices, default=WebhookState.WAITING
    )
    # counted anew when somebody has it sent again
    tried = models.PositiveSmallIntegerField(default=0)
    # a worker holds it until then; after that another may try
    held_until = models.DateTimeField(null=True, blank=True)
    next_try_at = models.DateTimeField(default=timezone.now)
    give_up_at = models.DateTimeField()
    arrived_at = models.DateTimeField(null=True, blank=True)
    # what was sent last, and each try: when, the status that came back, what went wrong
    payload: Any = models.JSONField(default=dict)
    tries: Any = models.JSONField(default=list)

    access: ClassVar[Access] = Access(subject=Subject.ORGANISATION, organisation="organisation")

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(fields=["state", "next_try_at"]),
            models.Index(fields=["organisation", "-id"]),
        ]

    def __str__(self) -> str:
        return f"{self.key}: {self.state}"
