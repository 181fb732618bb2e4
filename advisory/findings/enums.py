"""The course of a finding, and how urgent it is."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class FindingState(TextChoices):
    """Whose turn it is: the workshop's from sending until it answers, else the owner's."""

    KEPT = "kept", _("Written down, sent to nobody")
    SENT = "sent", _("Sent")
    SEEN = "seen", _("Seen by the workshop")
    ANSWERED = "answered", _("Answered")


# What may follow what.
NEXT_STATES: dict[FindingState, tuple[FindingState, ...]] = {
    FindingState.KEPT: (FindingState.SENT,),
    FindingState.SENT: (FindingState.SEEN, FindingState.ANSWERED),
    FindingState.SEEN: (FindingState.ANSWERED,),
    FindingState.ANSWERED: (FindingState.ANSWERED,),
}

# Whose turn it is while a finding stands so.
WORKSHOPS_TURN = frozenset({FindingState.SENT, FindingState.SEEN})


def states_before(state: FindingState) -> tuple[FindingState, ...]:
    """Return the states from which `state` may follow."""
    return tuple(before for before, after in NEXT_STATES.items() if state in after)


class Judgement(TextChoices):
    """What a measurement says against record and limits; unjudged where there are none."""

    UNJUDGED = "unjudged", _("Not measured against a limit")
    GOOD = "good", _("Within what was built")
    WATCH = "watch", _("Watch")
    ASK = "ask", _("Ask the workshop")
    STOP = "stop", _("Stop and ask")


class InspectionScope(TextChoices):
    """How far an inspection goes, where it is not made for one kind of work."""

    OUTSIDE = "outside", _("What can be seen, felt and measured from outside")
    DUE = "due", _("What is due")
    APART = "apart", _("Taken apart, in the workshop's order")


class StepKind(TextChoices):
    """What a step of an inspection is about."""

    PREPARE = "prepare", _("Before you begin")
    STRAINER = "strainer", _("Oil and strainer")
    PLACE = "place", _("A place of the unit")
    TAKE_APART = "take_apart", _("Taking it apart")


class StepOutcome(TextChoices):
    """What came of a step."""

    OPEN = "open", _("Not done yet")
    DONE = "done", _("Done")
    GOOD = "good", _("Good as seen")
    MEASURED = "measured", _("Measured")
    MARK = "mark", _("Damage seen")
    SKIPPED = "skipped", _("Skipped")
