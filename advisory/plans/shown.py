"""A plan as a reader sees it: words and drawings in the reader's units."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.common.drawing import Gauge
from advisory.common.quantities import Preferences, in_words
from advisory.lubrication.choice.words import listed
from advisory.lubrication.queries import OilInUnit
from advisory.plans.enums import CountedFrom, DueState
from advisory.plans.models import PlanItem
from advisory.plans.reason_words import reasons_words
from advisory.plans.words import (
    day_words,
    due_words,
    expected_words,
    over_words,
    passed_anyhow,
    sure_words,
)
from advisory.plans.work import WORKS, Work
from advisory.register.enums import WorkKind
from advisory.register.shown import in_figures
from advisory.usage.adapters import metres_per_count
from advisory.usage.use import UnitUse

# Beyond this a spell of days is told in weeks, and beyond that in months.
TOLD_IN_DAYS, TOLD_IN_WEEKS = 21, 120
FEWEST_REASONS = 3
NAMED_AS_WELL = 4


@dataclass(frozen=True)
class ItemShown:
    """One item in words."""

    item: PlanItem
    name: str
    due: str
    gauge: Gauge | None
    reasons: list[str]
    at_hand: list[str]
    url: str
    done_url: str

    @property
    def why(self) -> str:
        """The reason that counts most."""
        return self.reasons[0] if self.reasons else ""

    @property
    def main_reasons(self) -> list[str]:
        """The reasons that have room beside the answer."""
        return self.reasons[:FEWEST_REASONS]

    @property
    def work(self) -> Work:
        """What kind of work it is."""
        return WORKS[WorkKind(self.item.work)]

    @property
    def pressing(self) -> bool:
        """Whether it wants doing now."""
        return self.item.state in {DueState.DUE, DueState.LATE}

    @property
    def rests(self) -> bool:
        """Whether it rests."""
        return self.item.state == DueState.RESTING


def show_item(
    item: PlanItem, *, use: UnitUse, oil: OilInUnit, today: date, prefs: Preferences
) -> ItemShown:
    """Put an item in its reader's words."""
    left = None
    distance = use.distance()
    if item.due_distance is not None and distance is not None:
        left = item.due_distance - distance
    work = WORKS[WorkKind(item.work)]
    due = due_words(item, prefs, today=today, left=left, odometer=odometer_words(use, left))
    return ItemShown(
        item=item,
        name=item.get_work_display(),
        due=due,
        gauge=None
        if item.state == DueState.RESTING
        else _gauge(item, distance, left, today, prefs),
        reasons=reasons_words(item, prefs),
        at_hand=[*work.at_hand(oil, prefs), *_needs(item)],
        url=reverse("plans:item", args=[item.unit_id, item.work]),
        done_url=_done_url(item),
    )


def _done_url(item: PlanItem) -> str:
    """Return where it is written down as done: of several bulletins, that of the first."""
    for reason in item.reasons:
        if item.work == WorkKind.BULLETIN and "row" in reason:
            return reverse("plans:bulletin_done", args=[reason["row"]])
    return reverse("plans:done", args=[item.unit_id, item.work])


def _needs(item: PlanItem) -> list[str]:
    """Return what the workshop says has to be at hand."""
    return [str(reason["needs"]) for reason in item.reasons if reason.get("needs")]


def limit_figures(
    item: PlanItem, *, use: UnitUse, today: date, prefs: Preferences
) -> list[dict[str, str | None]]:
    """Write out when an item is due by each limit, and what it is counted from."""
    distance = use.distance()
    left = None
    if item.due_distance is not None and distance is not None:
        left = item.due_distance - distance
    since = (str(item.get_counted_from_display()), day_words(item.anchor_date))
    if (asked := _first_asked(item)) is not None:
        since = (_("Asked by %(who)s") % {"who": asked.who}, day_words(asked.on))
    figures: list[tuple[str, str | None]] = [
        since,
        (_("By distance"), _distance_words(item, use, left, prefs)),
        (_("By date"), day_words(item.due_date) if item.due_date else _("no limit")),
    ]
    if item.due_distance is not None and item.forecast_date and item.forecast_date > today:
        figures.append((_("As it is driven"), sure_words(item, today)))
    if item.due_hours is not None:
        hours = in_words(item.due_hours * 3600.0, "running_time", prefs)
        said = _("%(hours)s from one to the next, estimated from distance") % {"hours": hours}
        if any(reason.get("hours_counted") for reason in item.reasons):
            said = _("%(hours)s from one to the next, by its counter") % {"hours": hours}
        figures.insert(2, (_("By running hours"), said))
    return [{"label": label, "value": value} for label, value in figures]


def _distance_words(
    item: PlanItem, use: UnitUse, left: float | None, prefs: Preferences
) -> str | None:
    codes = {reason.get("code") for reason in item.reasons}
    if codes & {"distance_not_known", "no_reading"}:
        return None
    if item.due_distance is None:
        return _("no limit")
    far = in_words(item.due_distance - (item.anchor_distance or 0.0), "distance", prefs)
    at = odometer_words(use, left)
    if not at or passed_anyhow(item):
        return _("after %(far)s") % {"far": far}
    return _("after %(far)s, at %(shown)s on the odometer") % {"far": far, "shown": at}


def odometer_words(use: UnitUse, ahead: float | None) -> str:
    """Write what the odometer will show so many metres ahead; "" where it can't be told."""
    car = use.current
    if ahead is None or car is None or car.latest is None:
        return ""
    if car.latest.instrument != len(car.odometers) - 1:
        return ""  # the instrument was changed and nobody has read the new one
    odometer = car.odometer
    counts = round(ahead / metres_per_count(odometer.unit))
    return in_figures((car.latest.reading.shown + counts) % 10**odometer.digits)


@dataclass(frozen=True)
class InstrumentShown:
    """What the entry of a reading needs to know of the odometer."""

    unit: str
    digits: int
    last: str


def instrument_shown(use: UnitUse) -> InstrumentShown | None:
    """Return the odometer of the car that a unit is in; None where it is in none."""
    car = use.current
    if car is None or not car.odometers:
        return None
    last = ""
    if car.latest is not None:
        last = _("Last: %(shown)s on %(day)s") % {
            "shown": in_figures(car.latest.reading.shown),
            "day": day_words(date.fromordinal(car.latest.reading.day)),
        }
    odometer = car.odometer
    return InstrumentShown(odometer.get_unit_display(), odometer.digits, last)


def _gauge(
    item: PlanItem,
    distance: float | None,
    left: float | None,
    today: date,
    prefs: Preferences,
) -> Gauge | None:
    """Draw the limit that is expected first, on its own scale."""
    done_label = due_label = ""
    done_words = ""  # not known: it counts from a day on which nothing was done
    done = item.anchor_date
    past = item.due_date is not None and item.due_date < today
    due_said = _("Was due") if past else _("Due")
    if (asked := _first_asked(item)) is not None:
        # it is not done again and again: it stands from the day on which it was asked
        done_label, due_label, done = _("Asked"), due_said, asked.on
        done_words = _("%(day)s by %(who)s") % {"day": day_words(asked.on), "who": asked.who}
    elif item.counted_from == CountedFrom.BUILD:
        done_words = _("rebuilt %(day)s") % {"day": day_words(item.anchor_date)}
    elif item.counted_from == CountedFrom.DONE:
        done_words = day_words(item.anchor_date)
    elif item.counted_from == CountedFrom.SEASON:
        done_label, due_label = _("Missed until"), due_said
        done_words = day_words(item.anchor_date)
    soon = item.state in {DueState.NEAR, DueState.DUE}
    by_day = item.due_date is not None and (
        left is None
        or (left > 0 and (item.due_date <= today or item.forecast_date == item.due_date))
    )
    if by_day and item.due_date is not None:
        days = (item.due_date - today).days
        if days == 0 and done >= today:
            return None  # due from its first day on: there is nothing to draw
        return Gauge(
            now=today.toordinal(),
            due=item.due_date.toordinal(),
            done=min(done, item.due_date, today).toordinal(),
            left_words=days_words(days),
            done_words=done_words,
            due_words=day_words(item.due_date),
            now_words=_("today"),
            soon=soon,
            done_label=done_label,
            due_label=due_label,
        )
    if left is None or distance is None or item.due_distance is None:
        return None
    if left < 0:
        left_words = over_words(item, -left, prefs)
    else:
        left_words = _("%(far)s left") % {"far": in_words(left, "distance", prefs)}
    return Gauge(
        now=distance,
        due=item.due_distance,
        done=item.anchor_distance,
        left_words=left_words,
        done_words=done_words,
        due_words=_("after %(far)s")
        % {"far": in_words(item.due_distance - (item.anchor_distance or 0.0), "distance", prefs)},
        now_words=_("last reading"),
        soon=soon,
    )


@dataclass(frozen=True)
class _AskedSince:
    who: str
    on: date


def _first_asked(item: PlanItem) -> _AskedSince | None:
    """Return who asks for the work of a bulletin's item, and since when; else None."""
    if item.work != WorkKind.BULLETIN:
        return None
    for reason in item.reasons:
        # an item that was reckoned before says nothing of the day until it is reckoned again
        if "sent_on" in reason:
            return _AskedSince(str(reason["who"]), date.fromisoformat(reason["sent_on"]))
    return None


def days_words(days: int) -> str:
    """Write how many days are left, no finer than it matters."""
    size = abs(days)
    if size == 0:
        return _("due today")
    if size <= TOLD_IN_DAYS:
        spell = ngettext("%(n)d day", "%(n)d days", size) % {"n": size}
    elif size <= TOLD_IN_WEEKS:
        weeks = round(size / 7)
        spell = ngettext("%(n)d week", "%(n)d weeks", weeks) % {"n": weeks}
    else:
        months = round(size / 30.44)
        spell = ngettext("%(n)d month", "%(n)d months", months) % {"n": months}
    return (_("%(spell)s over") if days < 0 else _("%(spell)s left")) % {"spell": spell}


def then_words(following: Sequence[ItemShown], today: date) -> str:
    """Say what comes after the first thing: all that is due as well, else the next."""
    if pressing := [shown.name.lower() for shown in following if shown.pressing]:
        return _("And due as well: %(names)s.") % {"names": _names_words(pressing)}
    for shown in following:
        day = shown.item.forecast_date
        if shown.rests or day is None:
            continue
        return _("After that: %(name)s, about %(day)s.") % {
            "name": shown.name.lower(),
            "day": expected_words(max(day, today), today),
        }
    return ""


def _names_words(names: Sequence[str]) -> str:
    """Write names as far as there is room for them, and how many more there are."""
    if len(names) <= NAMED_AS_WELL:
        return listed(names)
    more = len(names) - NAMED_AS_WELL
    return ngettext("%(names)s and %(n)d more", "%(names)s and %(n)d more", more) % {
        "names": ", ".join(names[:NAMED_AS_WELL]),
        "n": more,
    }
