"""Everything that leaves the service: what, to whom, why, when, with which result."""

from advisory.notices.models.bulletins import BulletinNotice
from advisory.notices.models.calendar import CalendarEntry
from advisory.notices.models.follow_ups import FollowUp
from advisory.notices.models.mail import (
    CalendarFeed,
    FindingNotice,
    Mail,
    NoticePreference,
    ReadingRequest,
    Reminder,
    Snooze,
    new_secret,
)
from advisory.notices.models.webhooks import Webhook, WebhookMessage

__all__ = [
    "BulletinNotice",
    "CalendarEntry",
    "CalendarFeed",
    "FindingNotice",
    "FollowUp",
    "Mail",
    "NoticePreference",
    "ReadingRequest",
    "Reminder",
    "Snooze",
    "Webhook",
    "WebhookMessage",
    "new_secret",
]
