"""How a report divides what it tells of."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _

from advisory.lubrication.enums import Filtration


class Filtered(TextChoices):
    """Whether what keeps dirt from the bearings is there; a strainer takes out nothing so fine."""

    WITH = "with", _("With a filter")
    WITHOUT = "without", _("Without")
    UNKNOWN = "unknown", _("Not known")


FILTERED = {
    Filtration.UNKNOWN: Filtered.UNKNOWN,
    Filtration.NONE: Filtered.WITHOUT,
    Filtration.STRAINER: Filtered.WITHOUT,
    Filtration.BYPASS: Filtered.WITH,
    Filtration.FULL_FLOW: Filtered.WITH,
}


class Ring(TextChoices):
    """How long ago something was, before the day of the report."""

    LAST_YEAR = "last-year", _("In the last year")
    FIVE_YEARS = "five-years", _("One to five years ago")
    EARLIER = "earlier", _("Earlier")


class Period(TextChoices):
    """The years that a report can be asked for."""

    ALL = "all", _("All years")
    FIVE_YEARS = "five-years", _("The last five years")
    LAST_YEAR = "last-year", _("The last year")


# Each period is made of whole rings, the nearest first.
RINGS_OF = {
    Period.ALL: (Ring.LAST_YEAR, Ring.FIVE_YEARS, Ring.EARLIER),
    Period.FIVE_YEARS: (Ring.LAST_YEAR, Ring.FIVE_YEARS),
    Period.LAST_YEAR: (Ring.LAST_YEAR,),
}
YEARS_OF = {Period.FIVE_YEARS: 5, Period.LAST_YEAR: 1}


class Driven(TextChoices):
    """How far a unit is driven a year; the bounds are set by us, no source."""

    LITTLE = "little", _("Little")
    SOME = "some", _("Some")
    MUCH = "much", _("Much")


class Cut(TextChoices):
    """By what a workshop's findings are counted."""

    DESIGN = "design", _("By design")
    POSITION = "position", _("By position")
    MARK = "mark", _("By damage mark")
    CAUSE = "cause", _("By what was found to be the cause")
    FILTER = "filter", _("By kind of filter")
    BATCH = "batch", _("By batch")
    ORIGIN = "origin", _("By where the part came from")


class Stands(TextChoices):
    """Whether findings are more or less frequent than on the others, past chance."""

    MORE = "more", _("More often than the others")
    LESS = "less", _("Less often than the others")
    NOT = "", _("Nothing that the numbers carry")
