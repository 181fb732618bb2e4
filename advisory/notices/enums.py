"""Stages of a reminder and of a mail's way."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class Stage(TextChoices):
    """How far a reminder has come; one of each an item and cycle."""

    NEAR = "near", _("Coming up")
    DUE = "due", _("Due now")
    LATE = "late", _("Overdue")


# How far each has come: within a cycle a reminder only goes on, never back.
STAGES = (Stage.NEAR, Stage.DUE, Stage.LATE)


class MailState(TextChoices):
    """A mail's way out."""

    WAITING = "waiting", _("Waiting")
    SENT = "sent", _("Sent")
    GIVEN_UP = "given_up", _("Could not be sent")
    HELD = "held", _("Held back")


class MailKind(TextChoices):
    """Why a mail is sent."""

    REMINDER = "reminder", _("Reminder")
    FINDING = "finding", _("Finding reported")
    ANSWER = "answer", _("Finding answered")
    REPLY = "reply", _("An owner wrote back")
    LATE = "late", _("A first answer is late")
    INVITATION = "invitation", _("Invitation")
    OFFER = "offer", _("A unit offered")
    ACCOUNT = "account", _("About getting in")
    REPORT = "report", _("Fleet report")
    READING = "reading", _("A reading asked for")
    WORD = "word", _("A word to the workshop")
    FOLLOW_UP = "follow_up", _("A word from the workshop")
    BULLETIN = "bulletin", _("Bulletin")
    WEEKLY = "weekly", _("What waits, once a week")


class SnoozeReason(TextChoices):
    """Why somebody wants to hear of it later."""

    PARTS = "parts", _("Waiting for parts or oil")
    BOOKED = "booked", _("Booked with a workshop")
    STANDS = "stands", _("The car doesn't run until then")
    NO_TIME = "no_time", _("No time before then")
    OTHER = "other", _("Something else")


# Those that wait for the days and hours that their reader chose.
CHOOSES_ITS_HOURS = frozenset({MailKind.REMINDER, MailKind.READING, MailKind.WORD, MailKind.WEEKLY})
# Forgotten once sent: whoever holds such a letter gets in.
OPENS_A_DOOR = frozenset({MailKind.INVITATION, MailKind.OFFER, MailKind.ACCOUNT})


class WebhookEvent(TextChoices):
    """What a workshop's own system is told; the values stand in the messages."""

    FINDING_REPORTED = "finding.reported", _("A new finding")
    WAY_PICKED = "finding.way_picked", _("The owner picked a way to put it right")
    TRIAL = "trial", _("A trial")


class WebhookState(TextChoices):
    """A message's way to a workshop's own system."""

    WAITING = "waiting", _("Waiting")
    ARRIVED = "arrived", _("Arrived")
    GIVEN_UP = "given_up", _("Given up")
    HELD = "held", _("Held back")


class FollowReason(TextChoices):
    """Why a unit needs a word from its workshop; the gravest first."""

    DRIFTING = "drifting", _("A figure that drifts")
    WAITING = "waiting", _("A finding that waits for an answer")
    UNANSWERED = "unanswered", _("A question that its owner has not answered")
    FIRST_CHANGE = "first_change", _("First oil change not logged")
    OVERDUE_TWICE = "overdue_twice", _("Overdue, as it was the time before")
    RUNNING_IN = "running_in", _("Running-in nearly over")
    SILENT = "silent", _("A year without a sign of life")


class FollowedBy(TextChoices):
    """What a workshop did about it."""

    LETTER = "letter", _("Written to")
    CALL = "call", _("Called")
    ASIDE = "aside", _("Set aside")
