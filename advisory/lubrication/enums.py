"""Kinds of oils, arrangements and services."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class OilFamily(TextChoices):
    """What an oil is made for."""

    ENGINE = "engine", _("Engine oil")
    GEAR = "gear", _("Gear oil")
    INDUSTRIAL = "industrial", _("Circulating oil (ISO VG)")


class Feed(TextChoices):
    """How oil reaches the bearings."""

    UNKNOWN = "unknown", _("Not known")
    PRESSURE = "pressure", _("Under pressure")
    GRAVITY = "gravity", _("By gravity")
    SPLASH = "splash", _("By splash")
    OWN_SUMP = "own_sump", _("From its own sump")
    TOTAL_LOSS = "total_loss", _("Total loss")


class Filtration(TextChoices):
    """What stands between the dirt and the bearings; the values are those of the calculators."""

    UNKNOWN = "unknown", _("Not known")
    NONE = "none", _("No filter")
    STRAINER = "strainer", _("Strainer only")
    BYPASS = "bypass", _("Bypass filter")
    FULL_FLOW = "full-flow", _("Full-flow filter")


class ServiceKind(TextChoices):
    """What was done with the oil."""

    CHANGE = "change", _("Oil change")
    TOP_UP = "top_up", _("Top-up")
    FILTER_CHANGE = "filter_change", _("Filter change")
    FLUSH = "flush", _("Flush")
