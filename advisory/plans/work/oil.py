"""Work on the oil: change, filter, and the oil that goes into a lay-up."""

from datetime import timedelta
from functools import partial

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences
from advisory.lubrication.enums import Filtration, ServiceKind
from advisory.lubrication.queries import OilInUnit
from advisory.lubrication.words import filling_words
from advisory.plans.computation import Anchor, Limits
from advisory.plans.enums import CountedFrom, DueBy
from advisory.plans.work.base import Asked, Facts, Instruction, Reason, Work
from advisory.plans.work.found import brought_forward, told_oil_now
from advisory.plans.work.intervals import (
    FRESH_FOR_LAY_UP_DAYS,
    INTERVALS,
    LAY_UP_LAPSES_DAYS,
    as_instructed,
    lay_up_day,
    said,
    season_day,
)
from advisory.register.enums import WorkKind

# what the advice says of the workshop's distance, and the same where its hours set that
BY_HOURS = {
    "limited_by_workshop_distance": "limited_by_workshop_hours",
    "workshop_distance_shortened": "workshop_hours_shortened",
}
FILTERED = (Filtration.BYPASS, Filtration.FULL_FLOW)

DRAINING = (
    gettext_lazy("Warm the unit with a short run, then let it cool until it can be touched."),
    gettext_lazy("Car level. Clean round the drain and filler plugs before you open them."),
    gettext_lazy("Drain until it only drips, and catch all of it: measure what came out."),
    gettext_lazy("Take the strainer out, look at what is in it, clean it, put it back."),
    gettext_lazy("Drain plug with a new washer. Fill to the level datum, not past it."),
    gettext_lazy("Run it for a minute, stop, wait, look at the level and for leaks."),
)
SEEN_IN_OIL = (
    gettext_lazy("Bright flakes are white metal, yellow ones bronze, magnetic ones steel: stop."),
    gettext_lazy("Milky oil has water in it; thin oil that smells has fuel in it."),
    gettext_lazy("Much less than was filled in: find out where it went before you run it."),
)


def _oil_at_hand(oil: OilInUnit, prefs: Preferences) -> list[str]:
    things = [filling_words(oil, prefs), _("Washers for drain and filler plug")]
    if oil.filtration in FILTERED:
        things.append(_("A filter element, if it is due as well"))
    return [*things, _("A clean measure, a funnel, a can for what comes out, rags, gloves")]


def _filter_at_hand(oil: OilInUnit, prefs: Preferences) -> list[str]:
    return [
        _("A filter element of the right kind and its sealing ring"),
        _("Some of the oil in use, to fill the new filter and make up the level"),
        _("A can for what comes out, rags, gloves"),
    ]


def _asks_oil_change(facts: Facts, anchor: Anchor) -> Asked:
    return brought_forward(_usual_oil_change(facts, anchor), told_oil_now(facts), anchor)


def _usual_oil_change(facts: Facts, anchor: Anchor) -> Asked:
    if anchor.counted_from == CountedFrom.START:
        # nobody knows how old the oil is: the careful side is to take it for used up
        first: Reason = {"code": "oil_age_not_known"}
        return Asked(Limits(on=anchor.date), DueBy.NOT_KNOWN, (first, *said(facts, OIL)))
    advice, instruction = facts.advice, facts.instructions.get(OIL)
    limits = Limits(
        distance=advice.distance,
        goes_with_distance=advice.running_time,
        running_time=None if instruction is None else instruction.running_time,
        months=advice.months,
    )
    reasons = (*map(partial(_by_hours, instruction), advice.reasons), *said(facts, OIL))
    if instruction is None or instruction.season is None:
        return Asked(limits, DueBy(advice.limited_by), reasons)
    day, why = season_day(instruction.season, facts, anchor)
    return Asked(limits._replace(on=day), DueBy(advice.limited_by), (*reasons, why))


def _by_hours(instruction: Instruction | None, reason: Reason) -> Reason:
    """Say of a distance that is the workshop's whether it is what its hours come to."""
    code = BY_HOURS.get(str(reason["code"]))
    if code is None or instruction is None or instruction.running_time is None:
        return reason
    far = reason.get("workshop_distance", reason["distance"])
    own = instruction.distance
    if own is not None and far is not None and far >= own:
        return reason
    return {**reason, "code": code, "running_time": instruction.running_time}


def _asks_filter_change(facts: Facts, anchor: Anchor) -> Asked:
    if (by_workshop := as_instructed(FILTER, facts, anchor)) is not None:
        return by_workshop
    spoken = said(facts, FILTER)
    months = INTERVALS[FILTER].months
    capacity = facts.advice.filter_change_distance
    if capacity is not None:
        reason: Reason = {"code": "filter_full", "distance": capacity, "months": months}
        return Asked(Limits(distance=capacity, months=months), DueBy.DIRT, (reason, *spoken))
    # how much dirt the filter can take is not known: change it with the oil
    distance = facts.advice.distance
    reason = {"code": "filter_with_oil", "distance": distance, "months": months}
    return Asked(Limits(distance=distance, months=months), DueBy.DISTANCE, (reason, *spoken))


def _asks_lay_up_oil(facts: Facts, anchor: Anchor) -> Asked:
    instruction = said(facts, LAY_UP)
    day, why = lay_up_day(facts, anchor, timedelta(days=FRESH_FOR_LAY_UP_DAYS))
    by = DueBy.LAY_UP if day == facts.lay_up else DueBy.SEASON
    return Asked(Limits(on=day), by, (why, *instruction))


OIL, FILTER, LAY_UP = WorkKind.OIL_CHANGE, WorkKind.FILTER_CHANGE, WorkKind.LAY_UP_OIL

OIL_CHANGE = Work(
    kind=OIL,
    applies=lambda facts: True,
    asks=_asks_oil_change,
    why=gettext_lazy(
        "Dirt in the oil grinds white metal and journals; old oil no longer keeps them apart, and"
        " water and fuel in it eat at them."
    ),
    steps=DRAINING,
    look_for=SEEN_IN_OIL,
    cautions=("hot_oil", "jacking", "rotating", "lead", "used_oil", "fire", "no_licence"),
    at_hand=_oil_at_hand,
    oil_service=ServiceKind.CHANGE,
    closed_by_service=True,
)

FILTER_CHANGE = Work(
    kind=FILTER,
    applies=lambda facts: facts.oil.filtration in FILTERED,
    asks=_asks_filter_change,
    why=gettext_lazy("A filter that is full lets the dirt past: it counts as none."),
    steps=(
        gettext_lazy("Engine stopped and cooled down. Catch what runs out of the housing."),
        gettext_lazy("Cut the old element open: what is in it tells what is wearing."),
        gettext_lazy("New sealing ring, oiled. Fill the filter where it is mounted upright."),
        gettext_lazy("Run it for a minute, stop, look for leaks, make up the level."),
    ),
    look_for=SEEN_IN_OIL[:1],
    cautions=("hot_oil", "rotating", "fire", "lead", "used_oil", "no_licence"),
    at_hand=_filter_at_hand,
    oil_service=ServiceKind.FILTER_CHANGE,
    closed_by_service=True,
)

LAY_UP_OIL = Work(
    kind=LAY_UP,
    applies=lambda facts: facts.in_car and facts.rests_in_winter and not facts.geared,
    asks=_asks_lay_up_oil,
    why=gettext_lazy(
        "Used oil holds water and acid; over a winter they etch white metal and rust journals."
        " Fresh oil goes in before the car is put away, not after."
    ),
    steps=(
        *DRAINING,
        gettext_lazy("Then put it away, and don't idle it in between: that only makes water."),
        gettext_lazy("After more than three months, prime it with oil before the first start."),
    ),
    look_for=SEEN_IN_OIL,
    cautions=OIL_CHANGE.cautions,
    at_hand=_oil_at_hand,
    lead=timedelta(days=28),
    oil_service=ServiceKind.CHANGE,
    renewed_by_oil_change=True,
    lapses=lambda due, facts: due + timedelta(days=LAY_UP_LAPSES_DAYS),
    rests_laid_up=False,
)
