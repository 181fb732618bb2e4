"""What a plan would be with another filter, sump, oil or use: reckoned, shown, and not kept."""

import copy
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from django.utils.translation import gettext as _

from advisory.common.quantities import Preferences, in_words
from advisory.lubrication.advice import advise_many
from advisory.lubrication.choice.answer import Named
from advisory.lubrication.choice.judging import choose_for
from advisory.lubrication.choice.tables import ChoiceShown
from advisory.lubrication.enums import Filtration
from advisory.lubrication.models import Lubricant, OilArrangement
from advisory.lubrication.queries import OilInUnit
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.plans.enums import DueState
from advisory.plans.gathering import Known, gather
from advisory.plans.models import PlanItem
from advisory.plans.reason_words import reasons_words
from advisory.plans.reckoning import reckon
from advisory.plans.words import day_words, interval_words
from advisory.plans.work import WORKS
from advisory.register.enums import WorkKind
from advisory.register.models import Unit
from advisory.usage.supposed import Driven, suppose

# Days that lie nearer together than this are the same day, as far as a forecast can tell.
SAME_DAY = 7


@dataclass(frozen=True)
class Otherwise:
    """What somebody supposes; None is as it is. SI."""

    filtration: str | None = None
    sump_volume: float | None = None
    lubricant: Lubricant | None = None
    driven: Driven = field(default_factory=Driven)

    @property
    def changes_nothing(self) -> bool:
        """Whether all is supposed as it is."""
        return self == Otherwise()


@dataclass(frozen=True)
class ItemMoved:
    """One kind of work as it is planned, and as it would be; None where it would not be needed."""

    work: WorkKind
    now: PlanItem | None
    then: PlanItem | None

    today: date

    @property
    def days(self) -> int | None:
        """By how many days it comes later (negative: sooner); None where that can't be told.

        What is due comes today: a day that lies back is none to look forward to.
        """
        now, then = self.day_of(self.now), self.day_of(self.then)
        return None if now is None or then is None else (then - now).days

    @property
    def due_either_way(self) -> bool:
        """Whether it is to be done now, as it is and as it would be."""
        return self.day_of(self.now) == self.day_of(self.then) == self.today

    def day_of(self, item: PlanItem | None) -> date | None:
        """Return when an item comes; None where it rests, is not needed or can't be told."""
        if item is None or item.state == DueState.RESTING or item.forecast_date is None:
            return None
        return max(item.forecast_date, self.today)


def reckon_otherwise(unit: Unit, otherwise: Otherwise) -> list[ItemMoved]:
    """Reckon a unit's plan as it is and as it would be, in the plan's order; nothing is written."""
    known = gather([unit])[0]
    now = _items(known)
    then = _items(_supposed(gather([unit])[0], otherwise))
    return [
        ItemMoved(kind, now.get(kind), then.get(kind), known.today)
        for kind in WORKS
        if kind in now or kind in then
    ]


def _items(known: Known) -> dict[WorkKind, PlanItem]:
    outcome = reckon(known)
    items = {**known.items, **{WorkKind(item.work): item for item in outcome.new}}
    return {kind: item for kind, item in items.items() if item.in_force}


def _supposed(known: Known, otherwise: Otherwise) -> Known:
    unit = known.unit
    use = suppose(known.use, otherwise.driven)
    oil = _oil(known.oil, otherwise, unit, known.today)
    advice = advise_many(
        [unit], uses={unit.pk: use}, oils={unit.pk: oil}, todays={unit.pk: known.today}
    )[unit.pk]
    return replace(known, use=use, oil=oil, advice=advice)


def _oil(oil: OilInUnit, otherwise: Otherwise, unit: Unit, today: date) -> OilInUnit:
    arrangement = copy.copy(oil.arrangement)
    if otherwise.filtration is not None and otherwise.filtration != oil.filtration:
        if arrangement is None:
            arrangement = OilArrangement(unit=unit, from_date=today)
        arrangement.filtration = otherwise.filtration
        # what was known of the old filter says nothing of another
        arrangement.beta_ratio = arrangement.filter_flow = arrangement.dirt_capacity = None
    sump = oil.sump_volume if otherwise.sump_volume is None else otherwise.sump_volume
    lubricant = otherwise.lubricant or oil.lubricant
    return replace(oil, arrangement=arrangement, sump_volume=sump, lubricant=lubricant)


# In words ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class MovedShown:
    """One kind of work in words."""

    name: str
    now: str
    then: str
    moves: str
    moved: bool


@dataclass(frozen=True)
class WhatIfShown:
    """The plan as it would be, in words."""

    answer: str
    rows: Sequence[MovedShown]
    reasons: Sequence[str]
    oil: Named | None


def show_otherwise(unit: Unit, otherwise: Otherwise, by: Person) -> WhatIfShown:
    """Put the plan as it would be in a reader's words."""
    prefs = preferences_of(by)
    moved = reckon_otherwise(unit, otherwise)
    oil = next((one for one in moved if one.work == WorkKind.OIL_CHANGE), None)
    named = None
    if otherwise.lubricant is not None:
        named = ChoiceShown(choose_for(unit, by), prefs).named(otherwise.lubricant)
    return WhatIfShown(
        answer=_answer(oil, prefs),
        rows=[_row(one, prefs) for one in moved],
        reasons=reasons_words(oil.then, prefs) if oil is not None and oil.then is not None else [],
        oil=named,
    )


def _interval(item: PlanItem, prefs: Preferences) -> str:
    """Write how long work may wait from one time to the next."""
    distance = None
    if item.due_distance is not None and item.anchor_distance is not None:
        distance = item.due_distance - item.anchor_distance
    months = None
    if item.due_date is not None:
        months = round((item.due_date - item.anchor_date).days / 30.44)
    return interval_words(distance, months, prefs)


def _answer(oil: ItemMoved | None, prefs: Preferences) -> str:
    if oil is None or oil.now is None or oil.then is None:
        return _("Its plan, as it would be")
    if oil.then.due_distance is None or oil.then.anchor_distance is None:
        return _("The oil change would stay as it is: too little is known of it")
    now, then = _far(oil.now), _far(oil.then)
    if now is None or then is None or abs(then - now) < 0.005 * now:
        return _("The oil change would come round as often as now")
    words = {
        "then": in_words(then, "distance", prefs),
        "now": in_words(now, "distance", prefs),
    }
    return _("The oil would be due every %(then)s instead of %(now)s") % words


def _far(item: PlanItem) -> float | None:
    if item.due_distance is None or item.anchor_distance is None:
        return None
    return item.due_distance - item.anchor_distance


def _row(one: ItemMoved, prefs: Preferences) -> MovedShown:
    return MovedShown(
        name=str(one.work.label),
        now=_when(one, one.now, prefs),
        then=_when(one, one.then, prefs),
        moves=_moves(one),
        moved=_moved(one),
    )


def _when(one: ItemMoved, item: PlanItem | None, prefs: Preferences) -> str:
    if item is None:
        return _("not needed")
    day = one.day_of(item)
    if day is None:
        return _("rests")
    interval = _interval(item, prefs)
    if one.now is None:
        return interval  # of what would be fitted nobody knows the day
    words = {"day": day_words(day), "interval": interval}
    if day == one.today:
        return _("now (%(interval)s)") % words
    return _("%(day)s (%(interval)s)") % words


def _moved(one: ItemMoved) -> bool:
    if (one.now is None) != (one.then is None):
        return True
    return one.days is not None and abs(one.days) >= SAME_DAY


def _moves(one: ItemMoved) -> str:
    if one.now is None:
        return _("needed then")
    if one.then is None:
        return _("not needed then")
    if one.due_either_way:
        return _("due either way")
    days = one.days
    if days is None or abs(days) < SAME_DAY:
        return _("as now")
    weeks = round(abs(days) / 7)
    if days > 0:
        return _("%(weeks)d weeks later") % {"weeks": weeks}
    return _("%(weeks)d weeks sooner") % {"weeks": weeks}


#: What may be supposed of the filter: what is not known is no supposition.
FILTERS = [(kind.value, kind.label) for kind in Filtration if kind != Filtration.UNKNOWN]
