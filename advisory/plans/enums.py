"""How near an item of a plan is, and what it is counted from."""

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


class CountedFrom(TextChoices):
    """What an item's limits are counted from."""

    START = "start", _("Since it came into the register")
    BUILD = "build", _("Since it was rebuilt")
    DONE = "done", _("Since it was last done")
    SEASON = "season", _("Since the last season for it ended")


class DueBy(TextChoices):
    """Which limit sets an item; the computed ones bear the calculators' names."""

    DIRT = "dirt", _("dirt in the oil")
    AGEING = "ageing", _("ageing of the oil")
    CALENDAR = "calendar", _("the calendar")
    RUNNING_IN = "running-in", _("running-in")
    WORKSHOP = "workshop", _("the workshop's instruction")
    DISTANCE = "distance", _("distance")
    WEAR = "wear", _("wear, as it was measured")
    SEASON = "season", _("the season")
    LAY_UP = "lay-up", _("the lay-up that was announced")
    FINDING = "finding", _("what was found")
    BULLETIN = "bulletin", _("a bulletin")
    NOT_KNOWN = "not-known", _("nobody knows when it was last done")


class OilOfKind(TextChoices):
    """What an oil has in it, for whom a bulletin is meant."""

    DETERGENT = "detergent", _("Detergent oil")
    EXTREME_PRESSURE = "extreme_pressure", _("Oil with extreme-pressure additive")
    ACTIVE_SULPHUR = "active_sulphur", _("Oil with active sulphur, or not known")
    MULTIGRADE = "multigrade", _("Multigrade oil")
