"""The jobs of this app; each may be killed at any point and run twice at once."""

from celery import shared_task

from advisory.notices.actions import (
    delivery,
    findings,
    readings,
    reminders,
    webhook_delivery,
    webhook_log,
)
from advisory.notices.hand_note import drop_old_notes


@shared_task
def raise_reminders() -> None:
    """Remind owners of what has come to a new stage, ask for readings, tell of late answers."""
    reminders.raise_reminders()
    readings.ask_for_readings()
    findings.tell_late_findings()
    drop_old_notes()


@shared_task
def deliver_waiting_mail() -> None:
    """Send what waits in the outbox."""
    delivery.deliver_waiting()


@shared_task
def deliver_webhooks() -> None:
    """Send what waits for workshops' own systems."""
    webhook_delivery.deliver_messages()


@shared_task
def drop_old_webhook_messages() -> int:
    """Take out of the log what arrived long ago."""
    return webhook_log.drop_old_messages()
