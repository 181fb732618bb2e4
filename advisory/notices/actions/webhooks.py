"""A workshop's own system: where it listens, its secret, and what is told to it."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.common.jobs import start_soon
from advisory.findings.models import Finding
from advisory.notices.enums import WebhookEvent, WebhookState
from advisory.notices.models import Webhook, WebhookMessage
from advisory.notices.models.webhooks import new_nonce
from advisory.notices.webhooks.addresses import checked_address
from advisory.notices.webhooks.signing import BOTH_SIGN_FOR, secret_of
from advisory.people import rules
from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission

SWEEP = "advisory.notices.tasks.deliver_webhooks"
# How long it is tried before it is given up. Common practice, no source: a long week-end.
TRIED_FOR = timedelta(days=4)
# Nobody needs more to find a fault, and nobody is to be knocked at from here without end.
MOST_TRIALS_AN_HOUR = 20


def set_webhook(*, organisation: Organisation, url: str, by: Person) -> Webhook:
    """Say where a workshop's own system listens; what waits goes there from now on.

    Raises
    ------
    Refused
        For an address to which nothing is sent.
    """
    _require(by, organisation)
    url = checked_address(url)
    with transaction.atomic():
        webhook, made = Webhook.objects.select_for_update().get_or_create(
            organisation=organisation, defaults={"url": url}
        )
        if not made:
            if webhook.stopped_at is not None:
                webhook.nonce, webhook.former_nonce = new_nonce(), ""
            webhook.url, webhook.stopped_at = url, None
            webhook.save()
        audit.record("set_webhook", webhook, by=by, url=url)
    return webhook


def stop_webhook(*, webhook: Webhook, by: Person) -> None:
    """Tell it nothing more; what waits is held back."""
    _require(by, webhook.organisation)
    with transaction.atomic():
        stopped = Webhook.objects.filter(pk=webhook.pk, stopped_at=None)
        if stopped.update(stopped_at=timezone.now()):
            audit.record("stop_webhook", webhook, by=by)


def change_secret(*, webhook: Webhook, by: Person) -> str:
    """Make another secret and return it; the one before signs beside it for a day."""
    _require(by, webhook.organisation)
    with transaction.atomic():
        row = Webhook.objects.select_for_update().get(pk=webhook.pk)
        row.former_nonce, row.nonce = row.nonce, new_nonce()
        row.former_until = timezone.now() + BOTH_SIGN_FOR
        row.save(update_fields=["former_nonce", "nonce", "former_until"])
        audit.record("change_secret", row, by=by)
    return secret_of(row.nonce)


def send_trial(*, webhook: Webhook, by: Person) -> WebhookMessage:
    """Write a message that tells of nothing, to see whether it arrives.

    Raises
    ------
    Refused
        Where nothing is told, or too many were sent.
    """
    _require(by, webhook.organisation)
    if webhook.stopped_at is not None:
        raise Refused(_("Nothing is sent there any more. Enter the address again first."))
    lately = WebhookMessage.objects.filter(
        organisation=webhook.organisation_id,
        event=WebhookEvent.TRIAL,
        created_at__gt=timezone.now() - timedelta(hours=1),
    )
    if lately.count() >= MOST_TRIALS_AN_HOUR:
        raise Refused(_("That is enough trials for now. Try again in an hour."), code="too_many")
    with transaction.atomic():
        message = _written(webhook.organisation_id, WebhookEvent.TRIAL, uuid4().hex)
        audit.record("send_trial", message, by=by)
    return message


def send_again(*, message: WebhookMessage, by: Person) -> None:
    """Have a message tried anew, under its old id: who has it already takes it once."""
    _require(by, message.organisation)
    now = timezone.now()
    with transaction.atomic():
        done = WebhookMessage.objects.filter(pk=message.pk).exclude(state=WebhookState.WAITING)
        again = done.update(
            state=WebhookState.WAITING, tried=0, next_try_at=now, give_up_at=now + TRIED_FOR
        )
        if again:
            audit.record("send_again", message, by=by)
            start_soon(SWEEP)


def tell_system(
    *, event: WebhookEvent, finding: Finding, about: int | None = None, **detail: Any
) -> None:
    """Write what the workshop's own system is to be told, in the transaction of what it tells.

    `about` is the key of the row that it tells of, where that is not the finding itself; the same
    row is told of once. `detail` are further ids.
    """
    workshop = finding.unit.workshop_id
    if (
        workshop is None
        or not Webhook.objects.filter(organisation=workshop, stopped_at=None).exists()
    ):
        return
    _written(workshop, event, str(about or finding.pk), finding=finding, detail=detail)
    start_soon(SWEEP)


def _written(organisation: int, event: WebhookEvent, about: str, **fields: Any) -> WebhookMessage:
    now = timezone.now()
    message, _made = WebhookMessage.objects.get_or_create(
        key=f"{event}:{about}",
        defaults={
            "organisation_id": organisation,
            "event": event,
            "created_at": now,
            "next_try_at": now,
            # who sends a trial sees at once whether it arrives
            "give_up_at": now if event == WebhookEvent.TRIAL else now + TRIED_FOR,
            **fields,
        },
    )
    return message


def _require(by: Person, organisation: Organisation) -> None:
    rules.require(by, Permission.MANAGE_ORGANISATION, organisation)
    if organisation.kind != OrganisationKind.WORKSHOP:
        raise Refused(_("Only a workshop's own system is told of findings."))
