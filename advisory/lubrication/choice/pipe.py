"""What if the feed pipe is squashed: how much still comes, cold and warm, and is that enough.

Nothing of it is kept: it is asked by its address.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.charts import Chart, Mark, Series
from advisory.common.quantities import Preferences, number_in_words
from advisory.lubrication.adapters.engineering import (
    ChoiceBearing,
    ChoicePipe,
    OilChoiceCase,
    PipeSupply,
    not_in_doubt,
    pipe_supply,
    share_left,
)
from advisory.lubrication.choice.judging import Chosen
from advisory.lubrication.choice.warnings import state_now
from advisory.lubrication.choice.words import STATE_WORDS
from advisory.lubrication.film_words import KELVIN, celsius_words, flow_words, pipe_words

_HEIGHTS = np.linspace(0.1, 1.0, 37)  # of the bore
# below this share of the pipe's flow when round a need is no more than the foot of the drawing
_LEAST_MARK, _MOST_MARK = 0.02, 1.2


@dataclass(frozen=True)
class PipeAsked:
    """What is asked; SI, temperatures in degC, None where it is not known."""

    bore: float
    length: float
    height: float
    squashed: float | None
    pressure: float | None
    oil: str
    bearing: str
    cold_c: float
    warm_c: float


@dataclass(frozen=True)
class At:
    """The supply at one temperature, in words."""

    when: str
    round_flow: str
    flow: str
    need: str
    enough: str
    short: bool


@dataclass(frozen=True)
class PipeShown:
    """The answer: how much is left, at both temperatures, and the drawing."""

    answer: str
    short: bool
    at: list[At]
    basis: str
    chart: Chart


def known_of(chosen: Chosen) -> dict[str, Any]:
    """Return what is known for the form, in SI, temperatures in kelvin."""
    case, pipe = chosen.choice.case, chosen.choice.case.pipe
    known: dict[str, Any] = {
        "cold": case.cold_c + KELVIN,
        "warm": case.warm_c + KELVIN,
        "oil": usual_oil(chosen),
        "bearing": thirstiest(chosen),
    }
    if pipe is not None:
        known |= {"bore": pipe.bore, "length": pipe.length, "pressure": pipe.pressure}
        known["height"] = 0.5 * pipe.bore
    return known


def usual_oil(chosen: Chosen) -> str:
    """Return the key of the oil in the unit, else the prescribed one, else SAE 40."""
    oil = chosen.ground.oil
    for wanted in (oil.lubricant, oil.prescribed):
        for key, row in chosen.lubricants.items():
            if wanted is not None and row.pk == wanted.pk:
                return key
    return "sae-40"


def thirstiest(chosen: Chosen) -> str:
    """Return the key of the bearing that loses most when hot: the careful side."""
    bearings = _with_clearance(chosen)
    case = chosen.choice.case
    oils = {oil.key: oil for oil in case.oils}
    oil, state = oils.get(usual_oil(chosen)), state_now(chosen)
    if not bearings or state is None or oil is None:
        return ""
    need = pipe_supply(
        replace(case, bearings=bearings),
        state=state,
        oil=oil,
        pipe=ChoicePipe(bore=0.005, length=1.0, pressure=1e5),  # only the need is looked at
        temperatures_c=(case.hot_c,),
    ).need[0]
    return bearings[int(np.nan_to_num(need, nan=-1.0).argmax())].key


def bearing_choices(chosen: Chosen) -> list[tuple[str, str]]:
    """Return the bearings that the pipe may feed."""
    return [(each.key, chosen.case.names[each.key]) for each in _with_clearance(chosen)]


def _with_clearance(chosen: Chosen) -> tuple[ChoiceBearing, ...]:
    state = state_now(chosen)
    if state is None:
        return ()
    return tuple(b for b in chosen.choice.case.bearings if getattr(b, state) is not None)


def pipe_asked(known: Mapping[str, Any], typed: Mapping[str, Any]) -> PipeAsked | None:
    """Bring together what is known and what was typed; None where the pipe is not known."""
    told = {**known, **{name: value for name, value in typed.items() if value not in (None, "")}}
    if any(told.get(name) is None for name in ("bore", "length", "height")):
        return None
    warm_c = told["warm"] - KELVIN
    return PipeAsked(
        bore=told["bore"],
        length=told["length"],
        height=min(told["height"], told["bore"]),
        squashed=told.get("squashed"),
        pressure=told.get("pressure"),
        oil=told["oil"],
        bearing=told["bearing"],
        cold_c=min(told["cold"] - KELVIN, warm_c),
        warm_c=warm_c,
    )


def show_pipe(chosen: Chosen, asked: PipeAsked, prefs: Preferences) -> PipeShown:
    """Work out what comes through the pipe as asked, and hold it against the bearing's need.

    A pipe whose height is its bore is round.
    """
    ratio = float(
        share_left(
            bore=asked.bore,
            length=asked.length,
            flattened_to=asked.height,
            flattened_length=asked.squashed,
        )
    )
    supply = _supply(chosen, asked)
    at = [] if supply is None else _at(asked, supply, prefs)
    short = any(each.short for each in at)
    share = number_in_words(100.0 * ratio, 0 if ratio >= 0.1 else 1)
    if asked.height >= asked.bore:
        answer = _("Round, it brings too little") if short else _("Round, it lets all through")
    elif short:
        answer = _("%(share)s %% of what came through it round: too little") % {"share": share}
    else:
        answer = _("%(share)s %% of what came through it round") % {"share": share}
    return PipeShown(answer, short, at, _basis(chosen, asked), _chart(asked, ratio, supply, prefs))


def _supply(chosen: Chosen, asked: PipeAsked) -> PipeSupply | None:
    """Return supply and need; None where the pressure or the bearing is not known."""
    state = state_now(chosen)
    bearings = tuple(b for b in _with_clearance(chosen) if b.key == asked.bearing)
    oils = {oil.key: oil for oil in chosen.choice.case.oils}
    if asked.pressure is None or state is None or not bearings or asked.oil not in oils:
        return None
    hot_c = min(asked.warm_c + _hotter(chosen.choice.case), 150.0)
    case = replace(
        chosen.choice.case,
        bearings=bearings,
        cold_c=asked.cold_c,
        warm_c=asked.warm_c,
        hot_c=hot_c,
    )
    return pipe_supply(
        case,
        state=state,
        oil=oils[asked.oil],
        pipe=ChoicePipe(bore=asked.bore, length=asked.length, pressure=asked.pressure),
        temperatures_c=(asked.cold_c, asked.warm_c, hot_c),
        flattened_to=asked.height,
        flattened_length=asked.squashed,
    )


def _hotter(case: OilChoiceCase) -> float:
    return case.hot_c - case.warm_c


def _at(asked: PipeAsked, supply: PipeSupply, prefs: Preferences) -> list[At]:
    places = ((0, asked.cold_c, _("cold, %(at)s")), (1, asked.warm_c, _("warm, %(at)s")))
    shown = []
    light = not_in_doubt(supply.outcome)
    for place, celsius, when in places:
        need, margin = float(supply.need[place, 0]), float(supply.margin[place, 0])
        if light[place, 0]:
            needed = _("hardly any: so light a load that none is computed")
            # whatever comes is enough, unless nothing does
            short = not supply.at_least[place] > 0.0
            enough = _("nothing comes") if short else _("yes")
        elif np.isnan(need):
            needed, short = _("not to be said: no film is computed"), True
            enough = _("not to be said")
        else:
            needed, short = flow_words(need, prefs), margin < 1.0
            enough = (
                _("no: %(share)s %% of it") % {"share": number_in_words(100.0 * margin, 0)}
                if short
                else _("yes")
            )
        shown.append(
            At(
                when % {"at": celsius_words(celsius, prefs)},
                _flow(float(supply.flow_round[place]), prefs),
                _flow(float(supply.flow[place]), prefs),
                needed,
                enough,
                short,
            )
        )
    return shown


def _flow(flow: float, prefs: Preferences) -> str:
    if np.isnan(flow):
        return _("not stated: too fast to be laminar")
    return flow_words(flow, prefs) if flow > 0.0 else _("none: the oil stands")


def _basis(chosen: Chosen, asked: PipeAsked) -> str:
    state = state_now(chosen)
    names = {**chosen.case.names}
    if state is None or asked.bearing not in names:
        return ""
    return _("%(oil)s; %(bearing)s with its running clearance %(state)s.") % {
        "oil": names.get(asked.oil, asked.oil),
        "bearing": names[asked.bearing],
        "state": STATE_WORDS[state],
    }


def _chart(asked: PipeAsked, ratio: float, supply: PipeSupply | None, prefs: Preferences) -> Chart:
    whole = share_left(
        bore=asked.bore, length=asked.length, flattened_to=_HEIGHTS * asked.bore
    )  # fmt: skip
    series = [
        Series(_("Squashed over its whole length"), _points(whole), style="chain", dots=False)
    ]
    if asked.squashed is not None:
        part = share_left(
            bore=asked.bore,
            length=asked.length,
            flattened_to=_HEIGHTS * asked.bore,
            flattened_length=asked.squashed,
        )
        label = _("Squashed over %(length)s") % {"length": pipe_words(asked.squashed, prefs)}
        series.append(Series(label, _points(part), style="dashed", dots=False))
    here = (round(100.0 * asked.height / asked.bore, 1), round(100.0 * ratio, 1))
    series.append(Series(_("As asked"), [here]))
    marks = []
    if supply is not None:
        for place, label in ((0, _("the bearing's need, cold")), (1, _("its need, warm"))):
            share = float(supply.need[place, 0] / supply.flow_round[place])
            if _LEAST_MARK <= share <= _MOST_MARK:
                marks.append(Mark(label, 100.0 * share))
    return Chart(
        title=_("Flow over the height that is left"),
        sentence=_(
            "In per cent of the round pipe; oil and pressure don't count. Half the height leaves "
            "less than a third of the flow."
        ),
        series=series,
        x_label=_("Height left inside, % of the bore"),
        y_label=_("Flow left, %"),
        marks=marks,
    )


def _points(ratios: Any) -> list[tuple[float, float]]:
    return [
        (round(100.0 * float(height), 1), round(100.0 * float(ratio), 1))
        for height, ratio in zip(_HEIGHTS, ratios, strict=True)
    ]
