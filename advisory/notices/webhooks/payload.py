"""What a message says: ids and links, of what the workshop may see at this moment."""

from typing import Any

from django.conf import settings
from django.urls import reverse

from advisory.findings.models import Finding
from advisory.findings.queries import reaches_workshop
from advisory.notices.enums import WebhookEvent
from advisory.notices.letters.letter import Withheld
from advisory.notices.models import WebhookMessage


def payload_of(message: WebhookMessage) -> dict[str, Any] | Withheld:
    """Return type, time and data, as Standard Webhooks advises; or why it is held back."""
    data: dict[str, Any] | Withheld
    if message.event == WebhookEvent.TRIAL:
        data = {"workshop": message.organisation_id}
    else:
        data = _of_finding(message.finding, message)
    if isinstance(data, Withheld):
        return data
    return {
        "type": message.event,
        "timestamp": message.created_at.isoformat(),
        "data": data,
    }


def _of_finding(finding: Finding | None, message: WebhookMessage) -> dict[str, Any] | Withheld:
    if finding is None or finding.sent_at is None:
        return Withheld("The finding is gone.")
    unit = finding.unit
    if unit.workshop_id != message.organisation_id or not reaches_workshop(unit):
        return Withheld("Its owner does not let the workshop see it any more.")
    return {
        "workshop": message.organisation_id,
        "finding": finding.pk,
        "unit": unit.pk,
        "serial": unit.serial,
        "position": finding.position_id,
        "judgement": finding.judgement,
        **message.detail,
        "page": _link("findings:finding", finding.pk),
        "api": _link("api:finding-detail", finding.pk),
    }


def _link(name: str, pk: int) -> str:
    return settings.BASE_URL + reverse(name, args=[pk])
