"""Where a reading came from, and how far it is believed."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class ReadingSource(TextChoices):
    """How a reading came in."""

    TYPED = "typed", _("Typed")
    IMPORTED = "imported", _("From a logbook")
    WORK = "work", _("With work done")
    FITTING = "fitting", _("When fitted")
    API = "api", _("Through the API")


class DoubtfulLines(TextChoices):
    """What is done with the lines of a logbook that are not believed."""

    ASK = "ask", _("Ask")
    LEAVE_OUT = "leave-out", _("Leave them out")
    RIGHT = "right", _("They are right")
