"""The coolant in autumn: frost cracks a water jacket in one night."""

from datetime import timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences
from advisory.lubrication.queries import OilInUnit
from advisory.plans.computation import Anchor, Limits
from advisory.plans.enums import CountedFrom, DueBy
from advisory.plans.work.base import Asked, Facts, Reason, Work
from advisory.plans.work.intervals import (
    COOLANT_BY,
    FROST_ENDS,
    FROST_MONTHS,
    as_instructed,
    said,
)
from advisory.register.enums import PositionKind, WorkKind

COOLANT = WorkKind.COOLANT_STRENGTH
# What was measured so shortly before the day counts for the winter. Common practice, no source.
MEASURED_AHEAD = timedelta(days=60)


def _at_hand(oil: OilInUnit, prefs: Preferences) -> list[str]:
    return [
        _("A refractometer or hydrometer made for your kind of glycol"),
        _("Glycol of the same kind as is in it, clean soft water, a marked can"),
    ]


def _asks(facts: Facts, anchor: Anchor) -> Asked:
    month = (anchor.date + facts.season_ahead).month
    if anchor.counted_from == CountedFrom.START and month in FROST_MONTHS:
        reason: Reason = {"code": "coolant_not_known"}
        return Asked(Limits(on=anchor.date), DueBy.NOT_KNOWN, (reason, *said(facts, COOLANT)))
    if (by_workshop := as_instructed(COOLANT, facts, anchor)) is not None:
        return by_workshop
    measured = anchor.counted_from == CountedFrom.DONE
    after = anchor.date + MEASURED_AHEAD if measured else anchor.date
    day = COOLANT_BY.next_after(after, facts)
    reason = {"code": "before_frost", "on": day.isoformat()}
    return Asked(Limits(on=day), DueBy.SEASON, (reason, *said(facts, COOLANT)))


COOLANT_STRENGTH = Work(
    kind=COOLANT,
    applies=lambda facts: PositionKind.WATER_JACKET in facts.positions,
    asks=_asks,
    why=gettext_lazy(
        "Water that freezes cracks the jacket, and coolant that gets into the oil ruins the white"
        " metal. The strength falls each time it is topped up with water."
    ),
    steps=(
        gettext_lazy("Engine cold. Take a sample from the radiator, not from the top inch."),
        gettext_lazy("Measure the freezing point; write it down."),
        gettext_lazy("It must lie below the coldest night you expect, with something in hand."),
        gettext_lazy(
            "Too weak: draw some off, make up with glycol of the same kind, mix, measure."
        ),
        gettext_lazy("Look at hoses and clips, and for a white or green edge at joints."),
        gettext_lazy("Drained for the winter instead? All cocks open, a note on the handle."),
    ),
    look_for=(
        gettext_lazy("An oil film on the coolant, or milky oil: don't run it, ask the workshop."),
        gettext_lazy("Brown or rusty: the inhibitor is used up; it lasts two to three years."),
    ),
    cautions=("hot_coolant", "coolant", "rotating", "no_licence"),
    at_hand=_at_hand,
    lead=timedelta(days=28),
    renewed_by_build=False,
    lapses=FROST_ENDS.next_after,
    rests_laid_up=False,
    stop_matter=True,
)
