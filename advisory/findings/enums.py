"""The course of a finding, and how urgent it is."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class FindingState(TextChoices):
    """Whose turn it is: the workshop's until it answers, then the owner's."""

    SENT = "sent", _("Sent")
    SEEN = "seen", _("Seen by the workshop")
    ANSWERED = "answered", _("Answered")


# What may follow what.
NEXT_STATES = {
    FindingState.SENT: (FindingState.SEEN, FindingState.ANSWERED),
    FindingState.SEEN: (FindingState.ANSWERED,),
    FindingState.ANSWERED: (FindingState.ANSWERED,),
}


class Judgement(TextChoices):
    """What a measurement says against record and limits; 'unjudged' where there is nothing to hold it to."""

    UNJUDGED = "unjudged", _("Not measured against a limit")
    GOOD = "good", _("Within what was built")
    WATCH = "watch", _("Watch")
    ASK = "ask", _("Ask the workshop")
    STOP = "stop", _("Stop and ask")
