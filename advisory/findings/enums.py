"""The course of a finding, what is said on its way, and how urgent it is."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class FindingState(TextChoices):
    """Whose turn it is follows from it; see `WORKSHOPS_TURN` and `OWNERS_TURN`."""

    KEPT = "kept", _("Written down, sent to nobody")
    SENT = "sent", _("Sent")
    SEEN = "seen", _("Seen by the workshop")
    QUESTION = "question", _("A question to the owner")
    ANSWERED = "answered", _("Answered")
    AGREED = "agreed", _("Work agreed")
    CLOSED = "closed", _("Closed")


_S = FindingState
# What may follow what. What an owner writes back makes it new to the workshop: it is sent again.
NEXT_STATES: dict[FindingState, tuple[FindingState, ...]] = {
    _S.KEPT: (_S.SENT, _S.CLOSED),
    _S.SENT: (_S.SENT, _S.SEEN, _S.QUESTION, _S.ANSWERED, _S.AGREED, _S.CLOSED),
    _S.SEEN: (_S.SENT, _S.QUESTION, _S.ANSWERED, _S.AGREED, _S.CLOSED),
    _S.QUESTION: (_S.SENT, _S.QUESTION, _S.ANSWERED, _S.AGREED, _S.CLOSED),
    _S.ANSWERED: (_S.SENT, _S.QUESTION, _S.ANSWERED, _S.AGREED, _S.CLOSED),
    _S.AGREED: (_S.QUESTION, _S.ANSWERED, _S.AGREED, _S.CLOSED),
    # it was not over after all
    _S.CLOSED: (_S.KEPT, _S.SENT),
}

# Whose turn it is while a finding stands so; nobody's while it is kept or closed.
WORKSHOPS_TURN = frozenset({_S.SENT, _S.SEEN, _S.AGREED})
UNANSWERED = frozenset({_S.SENT, _S.SEEN})
OWNERS_TURN = frozenset({_S.QUESTION, _S.ANSWERED})


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


class Urgency(TextChoices):
    """How urgent a finding is; `urgency.py` says why."""

    NOW = "now", _("At once, it must not run")
    SOON = "soon", _("Before it runs again")
    WATCH = "watch", _("At the next service")
    UNSURE = "unsure", _("Nobody can say yet")


class Said(TextChoices):
    """What a word to a finding is."""

    ANSWER = "answer", _("Answer")
    QUESTION = "question", _("Question")
    WRITTEN = "written", _("Written back")
    MEASURED = "measured", _("Measured")
    PICKED = "picked", _("Way picked")
    CLOSED = "closed", _("Closed")


OF_THE_OWNER = frozenset({Said.WRITTEN, Said.MEASURED, Said.PICKED})


class Instruction(TextChoices):
    """What the workshop tells the owner to do at once; it stands until another, or until closed."""

    STOP = "stop", _("Stop: don't run it")
    GENTLY = "gently", _("Run it gently to the workshop, and nowhere else")
    OIL_NOW = "oil_now", _("Change the oil now")
    LIFTED = "lifted", _("What we told you to do before no longer holds")


class PartOrigin(TextChoices):
    """What the part of a way to put it right is."""

    REPAIRED = "repaired", _("Your part, repaired")
    DONOR = "donor", _("From a donor unit")
    MADE = "made", _("Made new")
    NONE = "none", _("No part is needed")


class Currency(TextChoices):
    """In what a price is written (ISO 4217); those of the lands that the trade sends parts to."""

    GBP = "GBP", _("pounds")
    EUR = "EUR", _("euros")
    USD = "USD", _("US dollars")
    CHF = "CHF", _("Swiss francs")
    SEK = "SEK", _("Swedish kronor")
    NOK = "NOK", _("Norwegian kroner")
    DKK = "DKK", _("Danish kroner")
    PLN = "PLN", _("zloty")
    CZK = "CZK", _("Czech crowns")
    AUD = "AUD", _("Australian dollars")
    NZD = "NZD", _("New Zealand dollars")
    CAD = "CAD", _("Canadian dollars")


class Cause(TextChoices):
    """What was found to be the cause; the trade's, in its own words."""

    DIRT = "dirt", _("Dirt in the oil")
    OIL_LATE = "oil_late", _("Oil came late, or cold and thick")
    OIL_MISSING = "oil_missing", _("No oil, or too little")
    SQUASHED_PIPE = "squashed_pipe", _("Squashed, kinked or cracked pipe")
    FROST = "frost", _("Frost")
    WRONG_ORDER = "wrong_order", _("Taken apart or put together in the wrong order")
    WRONG_FASTENER = "wrong_fastener", _("Wrong, loose or broken fastener")
    SOFT_COPY = "soft_copy", _("A copy of a part, too soft or not to size")
    WEAR = "wear", _("Wear, after a fair life")
    UNKNOWN = "unknown", _("It could not be found out")
    OTHER = "other", _("Something else")
