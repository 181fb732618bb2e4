"""Advice on when to change the oil: on many units at once, and keeping what was said."""

from collections.abc import Mapping, Sequence
from datetime import date

from advisory.lubrication.adapters import (
    METHOD,
    METHOD_VERSION,
    IntervalAdvice,
    advise,
    interval_record,
    intervals_of_records,
)
from advisory.lubrication.keeping import AdviceMethod, Told, keep
from advisory.lubrication.models import OilAdvice
from advisory.lubrication.queries import OilInUnit, oils_of
from advisory.lubrication.situation import situations_of
from advisory.people.clock import today_of
from advisory.register.models import Unit
from advisory.usage.queries import unit_uses_of
from advisory.usage.use import UnitUse

OIL_CHANGE = AdviceMethod(METHOD, METHOD_VERSION, interval_record, intervals_of_records)


def advise_many(
    units: Sequence[Unit],
    *,
    uses: Mapping[int, UnitUse] | None = None,
    oils: Mapping[int, OilInUnit] | None = None,
    todays: Mapping[int, date] | None = None,
) -> dict[int, IntervalAdvice]:
    """Return the oil-change advice for each unit, by its key, in a constant number of queries.

    What the caller has gathered already is not asked for again. Units without their owner at hand
    cost a query each, so select them related.
    """
    if uses is None:
        uses = unit_uses_of(units)
    if oils is None:
        oils = oils_of(units)
    if todays is None:
        todays = {unit.pk: today_of(unit.owner) for unit in units}
    situations = situations_of(units, uses=uses, oils=oils, todays=todays)
    advices = advise(situations)
    return {s.unit_id: advice for s, advice in zip(situations, advices, strict=True)}


def keep_advice(advices: Mapping[int, IntervalAdvice]) -> int:
    """Keep the advice that says something else than what was said last; return how many."""
    return keep(
        OIL_CHANGE,
        [Told(unit_id, advice.inputs, advice.result) for unit_id, advice in advices.items()],
    )


def latest_advice(unit: Unit) -> OilAdvice | None:
    """Return the advice that was kept last for a unit."""
    return OilAdvice.objects.filter(unit=unit, method=METHOD).order_by("-pk").first()


def advise_and_keep(unit: Unit) -> OilAdvice:
    """Compute the advice for a unit, keep it if it is new, and return it as it is kept."""
    keep_advice(advise_many([unit]))
    return OilAdvice.objects.filter(unit=unit, method=METHOD).latest("pk")
