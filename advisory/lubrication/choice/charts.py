"""The charts of an oil choice: over the oils, and over the temperature of the sump."""

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.charts import Chart, Mark, Series
from advisory.common.quantities import TEMPERATURE, Preferences, from_si
from advisory.lubrication.adapters.engineering import ChoiceOil, State, assumed, films
from advisory.lubrication.choice.judging import Chosen
from advisory.lubrication.choice.warnings import state_now
from advisory.lubrication.choice.words import STATE_WORDS
from advisory.lubrication.enums import OilFamily
from advisory.lubrication.film_words import KELVIN, celsius_words
from advisory.lubrication.models import Lubricant
from advisory.people.enums import TemperatureUnit

_STYLES: dict[State, str] = {"built": "solid", "now": "chain", "limit": "dashed"}
_LINES = ("solid", "dashed", "chain", "dotted")
_TEMPERATURES = 9
# oils of a straight kind lie on one line; a film so thick is not what anybody looks for
_MOST_RATIO = 60.0


def charts_of(chosen: Chosen, prefs: Preferences) -> list[Chart]:
    """Return the charts that can be drawn."""
    if not chosen.choice.states or not chosen.choice.case.oils:
        return []
    drawn = [_over_oils(chosen, prefs), _over_temperature(chosen, prefs)]
    return [chart for chart in drawn if not chart.empty]


def _marks() -> list[Mark]:
    return [Mark(_("A film holds from here up"), assumed("full_film_ratio"))]


def _straight(chosen: Chosen) -> list[tuple[int, ChoiceOil]]:
    """Return the straight engine oils with their places, thinnest first."""
    oils = [
        (place, oil)
        for place, oil in enumerate(chosen.choice.case.oils)
        if _is_straight(chosen.lubricants[oil.key])
    ]
    return sorted(oils, key=lambda each: each[1].kinematic_viscosity_100)


def _is_straight(row: Lubricant) -> bool:
    return bool(row.code) and row.family == OilFamily.ENGINE and not row.multigrade


def _over_oils(chosen: Chosen, prefs: Preferences) -> Chart:
    choice = chosen.choice
    series = []
    for row, state in enumerate(choice.states):
        points = [
            (
                round(oil.kinematic_viscosity_100 * 1e6, 1),
                round(float(choice.film_ratio[row, place]), 1),
            )
            for place, oil in _straight(chosen)
            if np.isfinite(choice.film_ratio[row, place])
        ]
        label = str(STATE_WORDS[state]).capitalize()
        series.append(Series(label, points, style=_STYLES[state]))
    names = ", ".join(
        f"{oil.kinematic_viscosity_100 * 1e6:.4g} {chosen.lubricants[oil.key].name}"
        for _place, oil in _straight(chosen)
    )
    return Chart(
        title=_("The film, hot, with each straight engine oil"),
        sentence=_(
            "Least film over roughness in the worst bearing with the oil at %(hot)s, over the "
            "oil's thickness at 100 °C: %(names)s. Where a line has no dot there is no film."
        )
        % {"hot": celsius_words(choice.case.hot_c, prefs), "names": names},
        series=series,
        x_label=_("Viscosity at 100 °C, mm²/s"),
        y_label=_("Film over roughness"),
        marks=_marks(),
    )


def _drawn_oils(chosen: Chosen) -> list[ChoiceOil]:
    """Return the oils worth a line: prescribed, in use, and both ends of the window."""
    oil, choice = chosen.ground.oil, chosen.choice
    state = state_now(chosen)
    keys = [
        key for key, row in chosen.lubricants.items()
        if row.pk in {each.pk for each in (oil.prescribed, oil.lubricant) if each is not None}
    ]  # fmt: skip
    straight = _straight(chosen)
    if state is not None:
        window = choice.window[list(choice.states).index(state)]
        held = [each for place, each in straight if window[place]]
        keys += [each.key for each in (held[:1] + held[-1:])]
    if straight and len(set(keys)) < 2:
        keys += [straight[0][1].key, straight[-1][1].key]
    by_key = {each.key: each for each in choice.case.oils}
    return [by_key[key] for key in dict.fromkeys(keys) if key in by_key][: len(_LINES)]


def _over_temperature(chosen: Chosen, prefs: Preferences) -> Chart:
    case, state = chosen.choice.case, state_now(chosen) or chosen.choice.states[0]
    oils = _drawn_oils(chosen)
    temperatures = np.linspace(max(case.cold_c, min(40.0, case.warm_c)), case.hot_c, _TEMPERATURES)
    found = films(case, [float(t) for t in temperatures], [state], oils)
    ratio = np.where(found.known, found.film_ratio, np.inf)[0].min(axis=-1)
    unit = "degF" if prefs.temperature == TemperatureUnit.FAHRENHEIT else "degC"
    read = [round(from_si(float(t) + KELVIN, unit, TEMPERATURE), 1) for t in temperatures]
    series = []
    for place, (oil, style) in enumerate(zip(oils, _LINES, strict=False)):
        points = [
            (at, round(float(value), 1))
            for at, value in zip(read, ratio[:, place], strict=True)
            if np.isfinite(value) and value <= _MOST_RATIO
        ]
        series.append(Series(chosen.lubricants[oil.key].name, points, style=style, dots=False))
    return Chart(
        title=_("The film as the sump gets hotter"),
        sentence=_(
            "Least film over roughness in the worst bearing, with the running clearance "
            "%(state)s: the oil prescribed or in it, and both ends of the window."
        )
        % {"state": STATE_WORDS[state]},
        series=[each for each in series if each.points],
        x_label=_("Oil in the sump, %(unit)s") % {"unit": "°F" if unit == "degF" else "°C"},
        y_label=_("Film over roughness"),
        marks=_marks(),
    )
