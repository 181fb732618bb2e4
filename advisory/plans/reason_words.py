"""Why an item is due then, in plain words: a sentence for each reason that its plan gives."""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences, in_words
from advisory.findings.marks import DamageMark
from advisory.lubrication.sentences import sentence
from advisory.plans.models import PlanItem
from advisory.plans.words import day_words, interval_words
from advisory.register.enums import Season

Values = Mapping[str, Any]


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
