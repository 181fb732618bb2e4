"""A report's figures in words and numbers, in the reader's units."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences, from_si
from advisory.common.quantities.units import LENGTH
from advisory.common.quantities.words import number_in_words

Words = str | Promise
# What a table's cell holds besides its value, and what that is called in a file.
PARTS = ("value", "lower", "upper", "spread", "part", "of")


@dataclass(frozen=True)
class Measure:
    """How figures of a kind are told: their unit, and how many decimals a reader can use."""

    unit: Callable[[Preferences], str]
    convert: Callable[[float, Preferences], float]
    decimals: Callable[[float], int]


def _three_figures(value: float) -> int:
    size = abs(value)
    return -2 if size >= 5000 else -1 if size >= 500 else 0 if size >= 10 else 1 if size >= 1 else 2


def _distance_unit(prefs: Preferences) -> str:
    return _("miles") if prefs.distance == "mile" else _("km")


def _wear(rate: float, prefs: Preferences) -> float:
    """Turn metres a metre into thou a thousand miles, or what the reader reads."""
    thousand = 1000.0 / from_si(1.0, prefs.distance, LENGTH)
    return float(from_si(rate * thousand, prefs.small_length, LENGTH))


MEASURES = {
    "count": Measure(lambda _p: "", lambda v, _p: v, lambda _v: 0),
    "share": Measure(lambda _p: "%", lambda v, _p: 100.0 * v, lambda _v: 0),
    "points": Measure(lambda _p: _("% points"), lambda v, _p: 100.0 * v, lambda _v: 0),
    "distance": Measure(
        _distance_unit, lambda v, p: from_si(v, p.distance, LENGTH), _three_figures
    ),
    "days": Measure(lambda _p: _("days"), lambda v, _p: v, lambda _v: 0),
    "per_unit": Measure(lambda _p: "", lambda v, _p: v, lambda _v: 2),
    "ratio": Measure(lambda _p: "", lambda v, _p: v, lambda _v: 2),
    "p": Measure(lambda _p: "", lambda v, _p: v, lambda v: 3 if v < 0.1 else 2),
    "wear": Measure(
        lambda p: _("%(small)s a 1,000 %(far)s") % {
            "small": p.small_length, "far": _distance_unit(p)
        },
        _wear,
        _three_figures,
    ),
}  # fmt: skip
NOT_SHOWN = gettext_lazy("not shown")
LEAST_P = 0.001


def number(value: float, kind: str, prefs: Preferences) -> str:
    """Write one number, without its unit."""
    measure = MEASURES[kind]
    found = measure.convert(value, prefs)
    return number_in_words(found, measure.decimals(found))


def in_words(cell: Any, kind: str, prefs: Preferences) -> str:
    """Write a cell: the figure, its unit, and in brackets the ends of its interval."""
    if cell is None:
        return str(NOT_SHOWN)
    held: Mapping[str, Any] = cell if isinstance(cell, Mapping) else {"value": cell}
    if held.get("value") is None:
        return str(NOT_SHOWN)
    if kind == "p":
        return _("below 0.001") if held["value"] < LEAST_P else number(held["value"], kind, prefs)
    unit = MEASURES[kind].unit(prefs)
    text = f"{number(held['value'], kind, prefs)} {unit}".strip()
    if "lower" in held:
        text += f" ({_ends(held, kind, prefs)})"
    if "of" in held:
        text += "; " + _("%(part)s of %(of)s") % {
            part: number(held[part], "count", prefs) for part in ("part", "of")
        }
    if held.get("spread") is not None:
        text += "; " + _("spread %(spread)s") % {"spread": number(held["spread"], kind, prefs)}
    return text


def _ends(held: Mapping[str, Any], kind: str, prefs: Preferences) -> str:
    lower, upper = held["lower"], held["upper"]
    if lower is None and upper is None:
        return _("one owner: no interval")
    if upper is None:
        return _("%(lower)s or more") % {"lower": number(lower, kind, prefs)}
    if lower is None:
        return _("up to %(upper)s") % {"upper": number(upper, kind, prefs)}
    return _("%(lower)s to %(upper)s") % {
        "lower": number(lower, kind, prefs),
        "upper": number(upper, kind, prefs),
    }


def numbers(cell: Any, kind: str, prefs: Preferences) -> dict[str, float | None]:
    """Return a cell's numbers by part, in the reader's units, for a file."""
    held: Mapping[str, Any] = cell if isinstance(cell, Mapping) else {"value": cell}
    return {
        part: _rounded(held[part], part, kind, prefs)
        for part in PARTS
        if part in held
    }  # fmt: skip


def _rounded(value: float | None, part: str, kind: str, prefs: Preferences) -> float | None:
    if value is None:
        return None
    found = value if part in {"part", "of"} else MEASURES[kind].convert(value, prefs)
    rounded = float(f"{found:.4g}")
    return int(found) if float(found).is_integer() else rounded
