"""The fan chart of a clearance: what was measured, where it goes, and its limit."""

from collections.abc import Sequence

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.charts import Chart, Mark, Series
from advisory.common.quantities import LENGTH, Preferences, from_si, unit_for
from advisory.engineering.wear import WearForecast

_POINTS = 9
# a limit that is far beyond all that was driven is not drawn to, or nothing else would be seen
_LEAST_AHEAD, _MOST_AHEAD = 5_000e3, 60_000e3


def fan_chart(
    found: WearForecast,
    points: Sequence[tuple[float, float]],
    prefs: Preferences,
    *,
    sentence: str,
    inspection: float | None = None,
    title: str = "",
    told: bool = True,
) -> Chart:
    """Draw measurements (metres driven since built, metres) and what follows from them.

    Nothing follows where they contradict one another, or where no distance is to be `told`.
    """
    far, small = unit_for("distance", prefs)[0], unit_for("small_length", prefs)[0]

    def place(metres: float) -> float:
        return float(f"{from_si(metres, far, LENGTH):.4g}")

    def size(metres: float) -> float:
        return float(f"{from_si(metres, small, LENGTH):.4g}")

    def ahead() -> list[Series]:
        along = np.linspace(0.0, _ahead(found, inspection), _POINTS)
        lines = [
            [(place(found.last + float(x)), size(float(y))) for x, y in zip(along, ys, strict=True)]
            for ys in found.levels(along).T
        ]
        return [
            Series(_("Most likely"), lines[1], style="chain", dots=False),
            Series(_("Hardly more than"), lines[2], style="dotted", dots=False),
            Series(_("Hardly less than"), lines[0], style="dotted", dots=False),
        ]

    return Chart(
        title=title or _("Wear and its limit"),
        sentence=sentence,
        series=[
            Series(_("Measured"), sorted((place(x), size(y)) for x, y in points)),
            *(ahead() if told and found.contradiction is None else []),
        ],
        x_label=_("Since it was built, %(unit)s") % {"unit": _unit(far)},
        y_label=_unit(small),
        marks=[Mark(_("Wear limit"), size(found.limit))],
        from_zero=False,
    )


def _ahead(found: WearForecast, inspection: float | None) -> float:
    """Return how far to draw: to where it meets its limit, if that is to be seen."""
    to = found.distance_at(0.5) or found.distance_at(0.1) or 0.0
    most = max(_MOST_AHEAD, found.last)
    return float(np.clip(max(1.15 * to, inspection or 0.0), _LEAST_AHEAD, most))


def _unit(unit: str) -> str:
    return {"mile": _("miles"), "km": _("km"), "mm": _("mm"), "thou": _("thou")}.get(unit, unit)
