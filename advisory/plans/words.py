"""The plan in words, in the reader's units."""

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from typing import Any

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from advisory.common.quantities import Preferences, in_words
from advisory.findings.marks import DamageMark
from advisory.lubrication.sentences import sentence
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.register.enums import Season

Values = Mapping[str, Any]

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


def reason_words(reason: Values, prefs: Preferences) -> str:
    """Write one reason of an item as a sentence."""
    said = SENTENCES.get(str(reason.get("code")))
    if said is not None:
        return said(reason, prefs)
    values = {key: value for key, value in reason.items() if key != "code"}
    return sentence(str(reason["code"]), values, prefs)


def reasons_words(item: PlanItem, prefs: Preferences) -> list[str]:
    """Write all reasons of an item."""
    return [reason_words(reason, prefs) for reason in item.reasons]


def _interval(reason: Values, prefs: Preferences) -> str:
    return _("Every %(interval)s: common practice.") % {
        "interval": interval_words(reason["distance"], reason["months"], prefs)
    }


def _first_after_rebuild(reason: Values, prefs: Preferences) -> str:
    return _("The first time after a rebuild after %(interval)s: common practice.") % {
        "interval": interval_words(reason["distance"], reason["months"], prefs)
    }


def _instruction(reason: Values, prefs: Preferences) -> str:
    workshop = reason["workshop"] or _("The design")
    running_time = reason.get("running_time")
    said = []
    if reason["distance"] or reason["months"] or running_time:
        interval = interval_words(reason["distance"], reason["months"], prefs, running_time)
        said.append(_("every %(interval)s.") % {"interval": interval})
    elif season := reason.get("season"):
        said.append(_("%(season)s.") % {"season": Season(season).label})
    if text := str(reason["text"] or ""):
        said.append(text)
    if running_time and reason.get("hours_counted"):
        said.append(_("The hours are those of its counter."))
    elif running_time:
        said.append(_("It has no hour counter: the hours are estimated from distance."))
    return _("%(workshop)s says: %(what)s") % {"workshop": workshop, "what": " ".join(said)}


def _wear(reason: Values, prefs: Preferences) -> str:
    if not reason["distance"]:
        return _(
            "%(place)s: as it was measured last, it may be at its limit. Measure it again, and ask"
            " the workshop before it runs."
        ) % {"place": reason["place"]}
    return _(
        "%(place)s: as it has worn so far, the chance of passing its limit is one in twenty"
        " %(far)s after it was measured last. Measure it before that."
    ) % {"place": reason["place"], "far": in_words(reason["distance"], "distance", prefs)}


def _wear_contradicts(reason: Values, prefs: Preferences) -> str:
    return _(
        "%(place)s: what was measured there contradicts itself, for wear never makes it smaller."
        " Measure it again, cold and clean; if it stays so, ask the workshop before it runs."
    ) % {"place": reason["place"]}


def _found(text: Promise) -> Callable[[Values, Preferences], str]:
    def said(reason: Values, prefs: Preferences) -> str:
        values = {**reason, "day": day_words(date.fromisoformat(reason["on"]))}
        if mark := reason.get("mark"):
            values["seen"] = DamageMark(mark).label
        values.setdefault("seen", _("something was found"))
        values["place"] = reason.get("place") or _("Elsewhere")
        values["workshop"] = reason.get("workshop") or _("The workshop")
        return str(text) % values

    return said


def _bulletin(reason: Values, prefs: Preferences) -> str:
    return _("%(who)s asks in “%(title)s”: %(what)s") % reason


def _bulletin_stop(reason: Values, prefs: Preferences) -> str:
    return _("%(who)s asks in “%(title)s”: don't run it before this is done. %(what)s") % reason


def _by_hours(text: Promise) -> Callable[[Values, Preferences], str]:
    def said(reason: Values, prefs: Preferences) -> str:
        return str(text) % {
            "hours": in_words(reason["running_time"], "running_time", prefs),
            "far": in_words(reason.get("workshop_distance", reason["distance"]), "distance", prefs),
            "distance": in_words(reason["distance"], "distance", prefs),
        }

    return said


def _filter_full(reason: Values, prefs: Preferences) -> str:
    return _("The filter is full of dirt after %(far)s; full, it counts as none.") % {
        "far": in_words(reason["distance"], "distance", prefs)
    }


def _filter_with_oil(reason: Values, prefs: Preferences) -> str:
    return _(
        "How much dirt the filter takes is not known: it is changed with the oil, and once a year."
    )


def _on(text: Promise) -> Callable[[Values, Preferences], str]:
    def said(reason: Values, prefs: Preferences) -> str:
        return str(text) % {"day": day_words(date.fromisoformat(reason["on"]))}

    return said


def _plain(text: Promise) -> Callable[[Values, Preferences], str]:
    def said(reason: Values, prefs: Preferences) -> str:
        return str(text)

    return said


SENTENCES: dict[str, Callable[[Values, Preferences], str]] = {
    "interval": _interval,
    "first_after_rebuild": _first_after_rebuild,
    "instruction": _instruction,
    "limited_by_workshop_hours": _by_hours(
        gettext_lazy(
            "The workshop asks for it by its %(hours)s, which come to about %(far)s, and that"
            " stands above all."
        )
    ),
    "workshop_hours_shortened": _by_hours(
        gettext_lazy(
            "The workshop allows %(hours)s, which come to about %(far)s; for the use this car gets"
            " it comes to %(distance)s. In doubt ask the workshop."
        )
    ),
    "wear": _wear,
    "wear_contradicts": _wear_contradicts,
    "found_past_limit": _found(
        gettext_lazy(
            "%(place)s: %(figure)s was measured on %(day)s, at or past its limit. It must not run;"
            " measure it again once it was put right."
        )
    ),
    "found_to_ask": _found(
        gettext_lazy(
            "%(place)s: %(figure)s was measured on %(day)s, at which to ask before it runs. Measure"
            " it again, cold and clean."
        )
    ),
    "mark_to_stop": _found(
        gettext_lazy("%(place)s, %(day)s: %(seen)s. It must not run before that is put right.")
    ),
    "mark_to_ask": _found(
        gettext_lazy("%(place)s, %(day)s: %(seen)s. Ask the workshop before it runs.")
    ),
    "told_stop": _found(gettext_lazy("%(workshop)s said on %(day)s: stop, don't run it.")),
    "told_gently": _found(
        gettext_lazy("%(workshop)s said on %(day)s: run it gently to them, and nowhere else.")
    ),
    "told_oil_now": _found(gettext_lazy("%(workshop)s said on %(day)s: change the oil now.")),
    "work_agreed": _found(gettext_lazy("Work was agreed with %(workshop)s on %(day)s.")),
    "bulletin": _bulletin,
    "bulletin_stop": _bulletin_stop,
    "filter_full": _filter_full,
    "filter_with_oil": _filter_with_oil,
    "lay_up_announced": _on(
        gettext_lazy("The car is to be laid up on %(day)s: fresh oil goes in before.")
    ),
    "lay_up_began": _on(
        gettext_lazy("The car was laid up on %(day)s: fresh oil should have gone in before.")
    ),
    "lay_up_season": _on(
        gettext_lazy(
            "Most cars are laid up late in the autumn; fresh oil goes in before, by %(day)s."
        )
    ),
    "lay_up_habit": _on(
        gettext_lazy("As in other years it is laid up about %(day)s; fresh oil goes in before.")
    ),
    "before_first_run": _on(
        gettext_lazy("Before the first run of the year: most cars come out from %(day)s on.")
    ),
    "before_first_run_announced": _on(
        gettext_lazy("The car is to come back on %(day)s: it is wanted before it runs.")
    ),
    "before_frost": _on(gettext_lazy("Before the first frost, by %(day)s: common practice.")),
    "coolant_not_known": _plain(
        gettext_lazy(
            "It is the time of frost, and nobody has told how strong the coolant is: look at once."
        )
    ),
    "history_not_known": _plain(
        gettext_lazy("No build record and no first look: nothing is known of this unit yet.")
    ),
    "oil_age_not_known": _plain(
        gettext_lazy("Nobody has told when the oil was last changed: it is taken for used up.")
    ),
    "distance_not_known": _plain(
        gettext_lazy(
            "The distance since then is not known, so distance rests here; the calendar goes on."
        )
    ),
    "passed_anyhow": _plain(
        gettext_lazy(
            "The distance since then is not known whole; what is known of it is too far already."
        )
    ),
    "no_reading": _plain(
        gettext_lazy("Without an odometer reading distance rests; the calendar goes on.")
    ),
    "rests_laid_up": _plain(gettext_lazy("The car is laid up: it waits until it is back.")),
    "rests_in_no_car": _plain(gettext_lazy("It is in no car: it waits until it runs.")),
    "moved_by_standing": _plain(
        gettext_lazy("It falls due while the car stands still, and is wanted before it runs again.")
    ),
    "asks_for_reading": _plain(
        gettext_lazy(
            "How it is driven is known too little to name a day: enter the odometer, that tells."
        )
    ),
    "by_forecast": _plain(
        gettext_lazy(
            "This is reckoned from how the car is usually driven: a reading makes it certain."
        )
    ),
}
