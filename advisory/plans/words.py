"""The plan in words, in the reader's units."""

from datetime import date, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.common.quantities import Preferences, in_words
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem

# A forecast nearer than this is told by the day, one further away by the month.
TOLD_BY_THE_DAY = timedelta(days=60)


def day_words(day: date) -> str:
    """Write a day."""
    return date_format(day, "j F Y")


def interval_words(
    distance: float | None,
    months: int | None,
    prefs: Preferences,
    running_time: float | None = None,
) -> str:
    """Write how long work may wait: a distance, hours, months, or whichever comes first."""
    parts = []
    if distance:
        parts.append(in_words(distance, "distance", prefs))
    if running_time:
        parts.append(
            _("%(hours)s of running") % {"hours": in_words(running_time, "running_time", prefs)}
        )
    if months:
        parts.append(ngettext("%(n)d month", "%(n)d months", months) % {"n": months})
    if not parts:
        return _("no set interval")
    if len(parts) == 1:
        return parts[0]
    either = _("%(one)s or %(other)s") % {"one": ", ".join(parts[:-1]), "other": parts[-1]}
    return _("%(either)s, whichever comes first") % {"either": either}


def due_words(
    item: PlanItem,
    prefs: Preferences,
    *,
    today: date,
    left: float | None,
    odometer: str = "",
) -> str:
    """Say when an item is due.

    `left` is the distance that is left to its due distance (negative: gone past), in metres; None
    where that can't be told. `odometer` is what the odometer will show then, if that is known.
    """
    if item.state == DueState.RESTING:
        return _resting_words(item)
    day = item.due_date
    past = left is not None and left <= 0
    over = day is not None and day <= today
    if past or over:
        return _past_words(item, prefs, today=today, left=left)
    parts = []
    if left is not None:
        far = in_words(left, "distance", prefs)
        if odometer:
            parts.append(_("in %(far)s (odometer %(shown)s)") % {"far": far, "shown": odometer})
        else:
            parts.append(_("in %(far)s") % {"far": far})
    if day is not None:
        parts.append(_("by %(day)s") % {"day": day_words(day)})
    if len(parts) == 2:
        due = _("%(first)s or %(second)s, whichever comes first") % {
            "first": parts[0],
            "second": parts[1],
        }
    else:
        due = parts[0] if parts else _("no day can be told yet")
    due = due[:1].upper() + due[1:]
    expected = item.forecast_date
    if expected is None or expected == day:
        return due
    return _("%(due)s; as it is driven, about %(expected)s") % {
        "due": due,
        "expected": expected_words(max(expected, today), today),
    }


def expected_words(expected: date, today: date) -> str:
    """Write a forecast no finer than it is."""
    if expected - today <= TOLD_BY_THE_DAY:
        return day_words(expected)
    return date_format(expected, "F Y")


def sure_words(item: PlanItem, today: date) -> str | None:
    """Write how sure a forecast is: between which days, and which is the likeliest."""
    likely = item.forecast_date
    if likely is None:
        return None
    if item.asks_for_reading:
        return _("not to be told without a reading")
    days = {"likely": expected_words(max(likely, today), today)}
    if item.forecast_first is None:
        return _("about %(likely)s") % days
    days["first"] = expected_words(max(item.forecast_first, today), today)
    if item.forecast_last is None:
        return _("hardly before %(first)s, most likely %(likely)s") % days
    days["last"] = expected_words(max(item.forecast_last, today), today)
    if days["first"] == days["last"]:
        return _("about %(likely)s") % days
    return _("between %(first)s and %(last)s, most likely %(likely)s") % days


def _past_words(item: PlanItem, prefs: Preferences, *, today: date, left: float | None) -> str:
    said = []
    if left is not None and left < 0:
        said.append(over_words(item, -left, prefs))
    if item.due_date is not None and item.due_date < today:
        said.append(_("since %(day)s") % {"day": day_words(item.due_date)})
    opening = _("Overdue") if item.state == DueState.LATE else _("Due now")
    if not said:
        return opening
    return _("%(opening)s: %(how)s") % {"opening": opening, "how": ", ".join(said)}


def over_words(item: PlanItem, metres: float, prefs: Preferences) -> str:
    """Say by how much an item's distance is passed, by what is known of it."""
    far = {"far": in_words(metres, "distance", prefs)}
    if passed_anyhow(item):
        return _("at least %(far)s over") % far
    return _("%(far)s over") % far


def passed_anyhow(item: PlanItem) -> bool:
    """Say whether the distance since its anchor is known in part only, and too far already."""
    return any(reason.get("code") == "passed_anyhow" for reason in item.reasons)


def _resting_words(item: PlanItem) -> str:
    codes = {reason.get("code") for reason in item.reasons}
    if "rests_in_no_car" in codes:
        return _("Rests: it is in no car")
    if "rests_laid_up" in codes:
        return _("Rests while the car is laid up")
    return _("Rests: nothing to count from yet")
