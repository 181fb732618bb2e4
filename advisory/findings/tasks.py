"""Jobs: what was left lying goes after a day."""

from celery import shared_task

from advisory.findings.actions import drop_waiting_photos


@shared_task
def drop_old_photos() -> int:
    """Delete photos of forms that nobody came back to; it may be killed and run again."""
    return drop_waiting_photos()
