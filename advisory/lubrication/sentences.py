"""Reasons of an oil-change interval as sentences, in the reader's units."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from advisory.common.quantities import Kind, Preferences, in_words
from advisory.engineering.oil_change import Reason

Values = Mapping[str, Any]

FILTRATION_WORDS: dict[str, Promise | str] = {
    "none": gettext_lazy("no filter"),
    "strainer": gettext_lazy("a strainer only"),
    "bypass": gettext_lazy("a bypass filter"),
    "full-flow": gettext_lazy("a full-flow filter"),
}


def months_words(months: float) -> str:
    """Write months; a part of one is kept where a workshop has given it."""
    count = 1 if months == 1 else 2
    return ngettext("%(n)s month", "%(n)s months", count) % {"n": f"{months:g}"}


def _said(template: Promise | str, *quantities: tuple[str, Kind]) -> Callable[..., str]:
    """Make the sentence of a code whose figures are quantities of the kinds given."""

    def say(values: Values, prefs: Preferences) -> str:
        words = {name: in_words(float(values[name]), kind, prefs) for name, kind in quantities}
        return str(template) % words

    return say


def _dirt(values: Values, prefs: Preferences) -> str:
    return _("Dirt sets it: %(filter)s, %(volume)s of oil.") % {
        "filter": FILTRATION_WORDS[values["filtration"]],
        "volume": in_words(values["sump_volume"], "volume", prefs),
    }


def _calendar(values: Values, prefs: Preferences) -> str:
    return _(
        "The calendar sets it: oil that stands takes up water and acid, so %(months)s is as long "
        "as it stays."
    ) % {"months": months_words(values["months"])}


def _workshop_months(values: Values, prefs: Preferences) -> str:
    return _("The workshop asks for it every %(months)s.") % {
        "months": months_words(values["months"])
    }


def _filter_would(values: Values, prefs: Preferences) -> str:
    far = {"distance": in_words(values["distance"], "distance", prefs)}
    if values["filtration"] == "bypass":
        return _("A bypass filter would make it about %(distance)s.") % far
    if values["filtration"] == "either":
        return _("A bypass or a full-flow filter would make it about %(distance)s.") % far
    return _("A full-flow filter would make it about %(distance)s.") % far


def _roads(values: Values, prefs: Preferences) -> str:
    if values["roads"] == "mixed":
        return _("Part of the roads is unsealed: more dust, so it comes sooner.")
    return _("Unsealed roads bring three times the dust, so it comes sooner.")


def _short_runs(values: Values, prefs: Preferences) -> str:
    return _(
        "%(share)s %% of the distance is in runs too short to warm the oil: soot, fuel and water "
        "make it come sooner."
    ) % {"share": f"{100 * values['share']:.0f}"}


def _filter_assumed(values: Values, prefs: Preferences) -> str:
    return _(
        "Not all is known of the filter: a plain element is taken, which holds back %(share)s %% "
        "in one pass."
    ) % {"share": f"{100 * values['efficiency']:.0f}"}


def _workshop_months_shortened(values: Values, prefs: Preferences) -> str:
    return _(
        "The workshop allows %(workshop)s; for the use this car gets it comes to %(months)s. In "
        "doubt ask the workshop."
    ) % {
        "workshop": months_words(values["workshop_months"]),
        "months": months_words(values["months"]),
    }


def _at_least_every(values: Values, prefs: Preferences) -> str:
    return _("Change it every %(months)s all the same, and before each lay-up.") % {
        "months": months_words(values["months"])
    }


SENTENCES: dict[str, Callable[[Values, Preferences], str]] = {
    "limited_by_dirt": _dirt,
    "limited_by_ageing": _said(
        gettext_lazy(
            "Heat and age set it: at %(sump_temperature)s the oil lasts about %(running_time)s."
        ),
        ("sump_temperature", "temperature"),
        ("running_time", "running_time"),
    ),
    "limited_by_calendar": _calendar,
    "limited_by_running_in": _said(
        gettext_lazy(
            "Running-in sets it: the next early change is at about %(change_at)s after the "
            "rebuild, to take out what the new surfaces shed."
        ),
        ("change_at", "distance"),
    ),
    "limited_by_workshop_distance": _said(
        gettext_lazy("The workshop asks for it every %(distance)s, and that stands above all."),
        ("distance", "distance"),
    ),
    "limited_by_workshop_months": _workshop_months,
    "filter_would": _filter_would,
    "breather_would": _said(
        gettext_lazy("A filter on the breather would make it about %(distance)s."),
        ("distance", "distance"),
    ),
    "cooler_would": _said(
        gettext_lazy("Oil 10 °C cooler would make it about %(distance)s."), ("distance", "distance")
    ),
    "distance_would_allow": _said(
        gettext_lazy("By distance alone it would last %(distance)s; a filter moves nothing here."),
        ("distance", "distance"),
    ),
    "dusty_roads": _roads,
    "short_runs": _short_runs,
    "sump_stays_cold": _said(
        gettext_lazy(
            "At %(sump_temperature)s water and fuel stay in the oil: now and then a run long "
            "enough to pass %(warm)s drives them out."
        ),
        ("sump_temperature", "temperature"),
        ("warm", "temperature"),
    ),
    "strainer_is_no_filter": _said(
        gettext_lazy(
            "A strainer stops lumps, not the dirt that wears a film: it counts as no filter."
        )
    ),
    "filter_assumed": _filter_assumed,
    "filter_capacity_unknown": _said(
        gettext_lazy(
            "How much dirt the filter's element holds is not known: change it with the oil."
        )
    ),
    "filter_full_early": _said(
        gettext_lazy(
            "The filter's element is full after about %(filter_change_distance)s, before the oil "
            "is due, and then counts as none: change it with every oil change at least."
        ),
        ("filter_change_distance", "distance"),
    ),
    "filter_change": _said(
        gettext_lazy("Change the filter's element after about %(filter_change_distance)s."),
        ("filter_change_distance", "distance"),
    ),
    "workshop_distance_shortened": _said(
        gettext_lazy(
            "The workshop allows %(workshop_distance)s; for the use this car gets it comes to "
            "%(distance)s. In doubt ask the workshop."
        ),
        ("workshop_distance", "distance"),
        ("distance", "distance"),
    ),
    "workshop_months_shortened": _workshop_months_shortened,
    "running_in_first_look": _said(
        gettext_lazy(
            "New white metal: drain, or look at the oil, after the first %(distance)s. Bright "
            "flakes in it: stop and ask the workshop."
        ),
        ("distance", "distance"),
    ),
    "at_least_every": _at_least_every,
}

_KELVIN = 273.15


def sentence(code: str, values: Values, prefs: Preferences) -> str:
    """Write one reason as a sentence; `values` are the figures that the reason carries.

    Advice that was kept long ago may have a code that is no longer given: it is shown as it is.
    """
    if code not in SENTENCES:
        return code.replace("_", " ")
    kelvin = {
        name.removesuffix("_c"): float(value) + _KELVIN
        for name, value in values.items()
        if name.endswith("_c")
    }
    return SENTENCES[code]({**values, **kelvin}, prefs)


def sentences(reasons: Iterable[Reason], prefs: Preferences) -> list[str]:
    """Write reasons as sentences, in their order."""
    return [sentence(reason.code, reason.values, prefs) for reason in reasons]
