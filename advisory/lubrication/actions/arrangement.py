"""How a unit is oiled, from a day on."""

from datetime import date
from functools import partial

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.lubrication.enums import Feed, Filtration
from advisory.lubrication.models import Lubricant, OilArrangement
from advisory.lubrication.queries import lubricant_in_use
from advisory.lubrication.signals import oil_changed
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Unit

FILTERED = (Filtration.BYPASS, Filtration.FULL_FLOW)

# What is believed of each figure, in SI: wider than any unit of this kind, narrow enough to catch a
# wrong unit. Common practice, no source.
BELIEVED = {
    "sump_volume": (2e-5, 0.1),  # 20 ml to 100 litres
    "beta_ratio": (1.0, 100_000.0),
    "filter_flow": (1e-7, 5e-3),  # 6 ml/min to 300 l/min
    "dirt_capacity": (1e-5, 2.0),  # 10 mg to 2 kg
    "feed_pipe_bore": (3e-4, 0.06),
    "feed_pipe_length": (5e-3, 15.0),
    "sump_temperature": (253.15, 423.15),  # -20 to 150 degC
}


@transaction.atomic
def set_oil_arrangement(
    *,
    unit: Unit,
    from_date: date,
    by: Person,
    feed: str = Feed.UNKNOWN,
    sump_volume: float | None = None,
    filtration: str = Filtration.UNKNOWN,
    beta_ratio: float | None = None,
    filter_flow: float | None = None,
    dirt_capacity: float | None = None,
    breather_filtered: bool = False,
    feed_pipe_bore: float | None = None,
    feed_pipe_length: float | None = None,
    level_datum: str = "",
    lubricant: Lubricant | None = None,
    sump_temperature: float | None = None,
) -> OilArrangement:
    """Say how `unit` is oiled from `from_date` on; figures in SI, None where nobody knows.

    What was said before stays as history; said again for the same day, it is put right.
    """
    rules.require(by, Permission.CHANGE_UNIT, unit)
    require_past_day(from_date, by=by, field="from_date")
    if feed not in Feed.values:
        raise Refused(_("Choose how the oil comes from the list."), field="feed")
    if filtration not in Filtration.values:
        raise Refused(_("Choose the filter from the list."), field="filtration")
    figures = {
        "sump_volume": sump_volume,
        "beta_ratio": beta_ratio,
        "filter_flow": filter_flow,
        "dirt_capacity": dirt_capacity,
        "feed_pipe_bore": feed_pipe_bore,
        "feed_pipe_length": feed_pipe_length,
        "sump_temperature": sump_temperature,
    }
    for name, value in figures.items():
        _believe(name, value)
    if filtration not in FILTERED:
        for name in ("beta_ratio", "filter_flow", "dirt_capacity"):
            if figures[name] is not None:
                raise Refused(
                    _("This belongs to a filter: choose bypass or full-flow, or leave it empty."),
                    field=name,
                )
    _allow_lubricant(unit, lubricant, from_date, by)
    arrangement, added = OilArrangement.objects.update_or_create(
        unit=unit,
        from_date=from_date,
        defaults={
            **figures,
            "feed": feed,
            "filtration": filtration,
            "breather_filtered": breather_filtered,
            "level_datum": level_datum.strip(),
            "lubricant": lubricant,
        },
    )
    audit.record(
        "set_oil_arrangement",
        arrangement,
        by=by,
        unit=unit.pk,
        from_date=from_date.isoformat(),
        corrected=not added,
        feed=str(feed),
        filtration=str(filtration),
        breather_filtered=breather_filtered,
        lubricant=lubricant.pk if lubricant else None,
        **figures,
    )
    transaction.on_commit(partial(oil_changed.send, sender=OilArrangement, unit=unit))
    return arrangement


def _believe(name: str, value: float | None) -> None:
    if value is None:
        return
    least, most = BELIEVED[name]
    # written so that NaN is refused, too
    if not least <= value <= most:
        raise Refused(
            _("This is outside what such a unit can have. Check the figure and its unit."),
            field=name,
            code="out_of_range",
        )


def _allow_lubricant(unit: Unit, lubricant: Lubricant | None, on: date, by: Person) -> None:
    """Refuse an oil that is neither the acting person's to choose nor in the unit already."""
    if lubricant is None or rules.may(by, Permission.VIEW_LUBRICANT, lubricant):
        return
    if lubricant_in_use(unit, on) != lubricant:
        raise Refused(_("Choose an oil from the list."), field="lubricant")
