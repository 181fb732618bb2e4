"""What became of an advice: from what to what, on which day, and what moved it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Kind, Preferences, in_words, number_in_words
from advisory.lubrication.adapters.engineering import METHOD as OIL_CHOICE
from advisory.lubrication.choice.words import listed, span_words
from advisory.lubrication.film_words import celsius_words, flow_words
from advisory.lubrication.models import OilAdvice
from advisory.lubrication.sameness import THE_METHOD
from advisory.lubrication.sentences import FILTRATION_WORDS, months_words
from advisory.register.enums import Roads

Write = Callable[[Any, Preferences], str]


@dataclass(frozen=True)
class Chapter:
    """One row of an advice's history: what it said from then on, and why it was not what it was.

    `before` is empty for the first.
    """

    when: datetime
    version: str
    said: str
    before: str
    because: Sequence[str]


def story_of(rows: Sequence[OilAdvice], prefs: Preferences, *, geared: bool) -> list[Chapter]:
    """Tell the history of one method's advice on a unit; rows with the newest first.

    What the owner alone was told has a history of its own, which began with what all were told.
    """
    chapters = []
    for place, row in enumerate(rows):
        earlier = _before(row, rows[place + 1 :])
        names = row.result.get("names", {})
        chapters.append(
            Chapter(
                row.computed_at,
                row.method_version,
                headline(row, prefs, geared=geared),
                "" if earlier is None else headline(earlier, prefs, geared=geared),
                [_because(moved, names, prefs) for moved in _worth_saying(row.moved_by)],
            )
        )
    return chapters


def _before(row: OilAdvice, older: Sequence[OilAdvice]) -> OilAdvice | None:
    """Return what a row is held against: of its own history, or else what all were told."""
    own = next((each for each in older if each.owner_alone == row.owner_alone), None)
    return own or next((each for each in older if not each.owner_alone), None)


def _worth_saying(moved_by: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """Leave out the figures of a filter that is there no more: that it is gone says it all."""
    gone = any(moved["name"] == "filtration" for moved in moved_by)
    return [
        moved
        for moved in moved_by
        if not (gone and moved["name"] in OF_A_FILTER and moved["after"] is None)
    ]


def headline(row: OilAdvice, prefs: Preferences, *, geared: bool) -> str:
    """Say what an advice said, in few words."""
    result: Mapping[str, Any] = row.result
    if row.method == OIL_CHOICE:
        windows = result["windows"]
        state = next((state for state in ("now", "built") if state in windows), None)
        if state is None:
            return _("nothing could be said")
        return span_words(windows[state], geared=geared) or _("no oil")
    return _("%(far)s or %(time)s") % {
        "far": in_words(result["distance"], "distance", prefs),
        "time": months_words(result["months"]),
    }


def _quantity(kind: Kind) -> Write:
    return lambda value, prefs: in_words(float(value), kind, prefs)


def _filtration(value: Any, _prefs: Preferences) -> str:
    return str(FILTRATION_WORDS.get(value, value))


def _roads(value: Any, _prefs: Preferences) -> str:
    return str(Roads(value).label).lower() if value in Roads.values else str(value)


def _share(value: Any, _prefs: Preferences) -> str:
    return _("%(share)s %%") % {"share": number_in_words(100.0 * float(value), 1)}


def _yes_no(value: Any, _prefs: Preferences) -> str:
    return _("yes") if value else _("no")


def _celsius(value: Any, prefs: Preferences) -> str:
    return celsius_words(float(value), prefs)


def _flow(value: Any, prefs: Preferences) -> str:
    return flow_words(float(value), prefs)


def _grams(value: Any, _prefs: Preferences) -> str:
    return _("%(number)s g") % {"number": number_in_words(float(value) * 1e3, 1)}


def _months(value: Any, _prefs: Preferences) -> str:
    return months_words(float(value))


#: Each input by its name: how it is called, and how its figure is written.
INPUTS: dict[str, tuple[Promise | str, Write]] = {
    "filtration": (gettext_lazy("filter"), _filtration),
    "sump_volume": (gettext_lazy("oil in it"), _quantity("volume")),
    "mean_speed": (gettext_lazy("mean speed"), _quantity("speed")),
    "efficiency": (gettext_lazy("what the filter holds back in one pass"), _share),
    "filter_flow": (gettext_lazy("flow through the filter"), _flow),
    "dirt_capacity": (gettext_lazy("dirt that the filter takes"), _grams),
    "residue_fraction": (gettext_lazy("what stays behind at a drain"), _share),
    "roads": (gettext_lazy("roads"), _roads),
    "breather_filtered": (gettext_lazy("filter on the breather"), _yes_no),
    "sump_temperature_c": (gettext_lazy("oil on a warm run"), _celsius),
    "short_run_share": (gettext_lazy("short runs"), _share),
    "distance_since_rebuild": (
        gettext_lazy("driven since the rebuild when the oil went in"),
        _quantity("distance"),
    ),
    "annual_distance": (gettext_lazy("driven in a year"), _quantity("distance")),
    "workshop_distance": (gettext_lazy("the workshop's distance"), _quantity("distance")),
    "workshop_months": (gettext_lazy("the workshop's months"), _months),
    "cold_c": (gettext_lazy("a cold start"), _celsius),
    "warm_c": (gettext_lazy("oil on a warm run"), _celsius),
    "forced_oil": (gettext_lazy("oil pressed in"), _yes_no),
    "pumped": (gettext_lazy("a pump must draw it"), _yes_no),
}

OF_A_FILTER = frozenset({"efficiency", "filter_flow", "dirt_capacity"})

#: What changes together; a hard run on a hot day follows the warm run.
TOGETHER = {"temperatures": ("cold_c", "warm_c"), "feed": ("forced_oil", "pumped")}

#: What has no single figure: named, and no more.
PARTS: dict[str, Promise | str] = {
    "service_class": gettext_lazy("the kind of unit, or where its oil comes from"),
    "assumed": gettext_lazy("more, or less, is known of it"),
    "left_out": gettext_lazy("more, or less, is known of its bearings"),
    "bearings": gettext_lazy("sizes, load, speed or roughness of its bearings"),
    "oils": gettext_lazy("the list of oils, or their figures"),
    "washers": gettext_lazy("its thrust washers"),
    "pipe": gettext_lazy("the feed pipe, or the pressure at it"),
    "names": gettext_lazy("the name of an oil or a bearing"),
}
CLEARANCES: dict[str, Promise | str] = {
    "clearance_built": gettext_lazy("running clearance of %(name)s as built"),
    "clearance_now": gettext_lazy("running clearance of %(name)s as measured"),
    "clearance_limit": gettext_lazy("wear limit of %(name)s"),
}


def _because(moved: Mapping[str, Any], names: Mapping[str, str], prefs: Preferences) -> str:
    name, before, after = moved["name"], moved["before"], moved["after"]
    if name == THE_METHOD:
        if before == after:
            return _("the method was put right (version %(version)s)") % {"version": after}
        return _("the method is another: version %(after)s in the place of %(before)s") % {
            "after": after,
            "before": before,
        }
    if name in CLEARANCES:
        return listed(_clearances(name, before or {}, after or {}, names, prefs))
    if name in TOGETHER:
        moves = [
            {"name": each, "before": (before or {}).get(each), "after": (after or {}).get(each)}
            for each in TOGETHER[name]
        ]
        differing = [move for move in moves if move["before"] != move["after"]]
        return listed([_because(move, names, prefs) for move in differing])
    if name in INPUTS:
        label, write = INPUTS[name]
        return _("%(what)s: %(before)s → %(after)s") % {
            "what": label,
            "before": _or_not_known(before, write, prefs),
            "after": _or_not_known(after, write, prefs),
        }
    return str(PARTS.get(name, name.replace("_", " ")))


def _clearances(
    name: str,
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    names: Mapping[str, str],
    prefs: Preferences,
) -> list[str]:
    said = []
    for key in {**before, **after}:
        if before.get(key) == after.get(key):
            continue
        write = _quantity("small_length")
        said.append(
            _("%(what)s: %(before)s → %(after)s")
            % {
                "what": str(CLEARANCES[name]) % {"name": names.get(key, key)},
                "before": _or_not_known(before.get(key), write, prefs),
                "after": _or_not_known(after.get(key), write, prefs),
            }
        )
    return said


def _or_not_known(value: Any, write: Write, prefs: Preferences) -> str:
    return _("not known") if value is None else write(value, prefs)
