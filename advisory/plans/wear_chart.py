"""The fan chart of a clearance: what was measured, where it goes, and its limit."""

from collections.abc import Sequence

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.charts import Chart, Mark, Series
from advisory.common.quantities import LENGTH, Preferences, from_si, in_words, unit_for
from advisory.engineering.wear import WearForecast

_POINTS = 9
# a limit that is far beyond all that was driven is not drawn to, or nothing else would be seen
_LEAST_AHEAD, _MOST_AHEAD = 5_000e3, 60_000e3


def fan_chart(
    found: WearForecast,
    points: Sequence[tuple[float, float]],
    prefs: Preferences,
    *,
    inspection: float | None = None,
    title: str = "",
) -> Chart:
    """Draw measurements (metres driven since built, metres) and what follows from them."""
    far, small = unit_for("distance", prefs)[0], unit_for("small_length", prefs)[0]
    ahead = _ahead(found, inspection)
    along = np.linspace(0.0, ahead, _POINTS)
    fan = found.levels(along)

    def place(metres: float) -> float:
        return float(f"{from_si(metres, far, LENGTH):.4g}")

    def size(metres: float) -> float:
        return float(f"{from_si(metres, small, LENGTH):.4g}")

    def line(column: int) -> list[tuple[float, float]]:
        return [
            (place(found.last + float(x)), size(float(y)))
            for x, y in zip(along, fan[:, column], strict=True)
        ]

    return Chart(
        title=title or _("Wear and its limit"),
        sentence=wear_sentence(found, prefs, inspection=inspection),
        series=[
            Series(_("Measured"), sorted((place(x), size(y)) for x, y in points)),
            Series(_("Most likely"), line(1), style="chain", dots=False),
            Series(_("Hardly more than"), line(2), style="dotted", dots=False),
            Series(_("Hardly less than"), line(0), style="dotted", dots=False),
        ],
        x_label=_("Since it was built, %(unit)s") % {"unit": _unit(far)},
        y_label=_unit(small),
        marks=[Mark(_("Wear limit"), size(found.limit))],
        from_zero=False,
    )


def wear_sentence(
    found: WearForecast, prefs: Preferences, *, inspection: float | None = None
) -> str:
    """Say in words what the chart shows."""
    if found.chance_passed(0.0) >= 0.5:
        return _("It is past its limit, more likely than not: don't run it, ask the workshop.")
    early, middle, late = (found.distance_at(chance) for chance in (0.1, 0.5, 0.9))
    if early is None:
        said = _("As it was measured, it hardly wears: no limit is in sight.")
    elif middle is None or late is None:
        said = _("It meets its limit hardly before another %(far)s; by when can't be said.") % {
            "far": in_words(early, "distance", prefs)
        }
    else:
        said = _(
            "It meets its limit most likely after another %(middle)s, hardly before %(early)s and "
            "hardly after %(late)s."
        ) % {
            name: in_words(metres, "distance", prefs)
            for name, metres in (("middle", middle), ("early", early), ("late", late))
        }
    if inspection is not None:
        said += " " + _("Measure it again within %(far)s.") % {
            "far": in_words(inspection, "distance", prefs)
        }
    return said


def _ahead(found: WearForecast, inspection: float | None) -> float:
    """Return how far to draw: to where it meets its limit, if that is to be seen."""
    to = found.distance_at(0.5) or found.distance_at(0.1) or 0.0
    most = max(_MOST_AHEAD, found.last)
    return float(np.clip(max(1.15 * to, inspection or 0.0), _LEAST_AHEAD, most))


def _unit(unit: str) -> str:
    return {"mile": _("miles"), "km": _("km"), "mm": _("mm"), "thou": _("thou")}.get(unit, unit)
