"""The log of what workshops' own systems were told: kept for a while, then taken out."""

from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from advisory.notices.enums import WebhookState
from advisory.notices.models import WebhookMessage


def drop_old_messages(*, now: datetime | None = None) -> int:
    """Take out what arrived, or was given up, longer ago than the log is kept; return how many.

    What waits, or is held back, stays however old it is: it has told nobody anything yet.
    """
    before = (now or timezone.now()) - timedelta(days=settings.WEBHOOKS_KEPT_DAYS)
    arrived = Q(state=WebhookState.ARRIVED, arrived_at__lt=before)
    given_up = Q(state=WebhookState.GIVEN_UP, give_up_at__lt=before)
    with transaction.atomic():
        dropped, _tables = WebhookMessage.objects.filter(arrived | given_up).delete()
    return dropped
