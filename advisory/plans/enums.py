"""How near an item of a plan is."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class DueState(TextChoices):
    """How near an item is; our own names."""

    AHEAD = "ahead", _("Not yet")
    NEAR = "near", _("Coming up")
    DUE = "due", _("Due now")
    LATE = "late", _("Overdue")
    RESTING = "resting", _("Resting")


# The nearest first; resting items come last.
URGENCY = {
    DueState.LATE: 0,
    DueState.DUE: 1,
    DueState.NEAR: 2,
    DueState.AHEAD: 3,
    DueState.RESTING: 4,
}
