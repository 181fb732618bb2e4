"""The oil-change interval of a unit: from what is known of it to advice that is kept."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from math import floor, log10
from typing import Any

from advisory.engineering.errors import OutOfRange
from advisory.engineering.oil_change import (
    Alternative,
    Limit,
    OilChangeCase,
    OilChangeInterval,
    ServiceClass,
    oil_change_intervals,
    reasons_for,
)
from advisory.engineering.oil_change import Filtration as FiltrationWord
from advisory.engineering.oil_change import Roads as RoadsWord
from advisory.lubrication.adapters.assumed import (
    GEARBOX_TEMPERATURE_C,
    MEAN_SPEED,
    SUMP_OF,
    SUMP_TEMPERATURE_C,
)
from advisory.lubrication.enums import Feed, Filtration
from advisory.lubrication.situation import Situation
from advisory.register.enums import Roads, UnitKind

KELVIN = 273.15
# The enums bear the calculators' words; a type checker wants to see each.
_FILTRATIONS: dict[Filtration, FiltrationWord] = {
    Filtration.NONE: "none",
    Filtration.STRAINER: "strainer",
    Filtration.BYPASS: "bypass",
    Filtration.FULL_FLOW: "full-flow",
}
_ROADS: dict[Roads, RoadsWord] = {
    Roads.SEALED: "sealed",
    Roads.MIXED: "mixed",
    Roads.UNSEALED: "unsealed",
}
GEARED = frozenset({UnitKind.GEARBOX, UnitKind.FINAL_DRIVE})
SMALL = frozenset(
    {UnitKind.SUPERCHARGER, UnitKind.WATER_PUMP, UnitKind.OIL_PUMP, UnitKind.MAGNETO_DRIVE}
)
OIL_OF_ITS_OWN = frozenset({Feed.OWN_SUMP, Feed.SPLASH, Feed.GRAVITY, Feed.TOTAL_LOSS})


@dataclass(frozen=True)
class IntervalAdvice:
    """When to change the oil, why, and what had to be assumed; SI, months in whole months.

    `assumed` holds codes of what nobody has told us; `lubrication.words` puts them in words, with
    what to find out. `inputs` and `result` are what is kept of it.
    """

    distance: float
    running_time: float
    months: int
    limited_by: str
    filter_change_distance: float | None
    reasons: tuple[dict[str, Any], ...]
    assumed: tuple[str, ...]
    inputs: Mapping[str, Any]
    result: Mapping[str, Any]


def advise(situations: Sequence[Situation]) -> list[IntervalAdvice]:
    """Compute the oil-change interval of many units together, in the order given."""
    cases = [case_of(situation) for situation in situations]
    results = oil_change_intervals([case for case, _ in cases])
    return [
        _advice(case, assumed, result)
        for (case, assumed), result in zip(cases, results, strict=True)
    ]


def case_of(situation: Situation) -> tuple[OilChangeCase, tuple[str, ...]]:
    """Return the case to compute, and the codes of what was taken because nobody knows.

    What is not known is taken on the careful side: no filter, a small sump, warm oil.
    """
    assumed: list[str] = []
    arrangement = situation.oil.arrangement
    filtration = situation.oil.filtration
    if filtration == Filtration.UNKNOWN:
        assumed.append("filtration")
        filtration = Filtration.NONE
    filtered = filtration in {Filtration.BYPASS, Filtration.FULL_FLOW}
    sump = situation.oil.sump_volume
    if sump is None:
        assumed.append("sump_volume")
        sump = SUMP_OF[situation.kind]
    temperature = arrangement.sump_temperature if arrangement else None
    if temperature is None:
        assumed.append("sump_temperature")
    if situation.oil.lubricant is None:
        assumed.append("lubricant")
    if not situation.in_car:
        assumed.append("car")
    elif situation.annual_distance is None:
        assumed.append("annual_distance")
    beta = arrangement.beta_ratio if arrangement and filtered else None
    if filtered and beta is None:
        assumed.append("beta_ratio")
    capacity = arrangement.dirt_capacity if arrangement and filtered else None
    if filtered and capacity is None:
        assumed.append("dirt_capacity")
    geared = situation.kind in GEARED
    usual_c = GEARBOX_TEMPERATURE_C if geared else SUMP_TEMPERATURE_C
    case = OilChangeCase(
        filtration=_FILTRATIONS[filtration],
        sump_volume=sump,
        mean_speed=_two_figures(situation.mean_speed) or MEAN_SPEED,
        # ISO 16889: the share that stays behind in one pass
        efficiency=None if beta is None else 1.0 - 1.0 / beta,
        filter_flow=arrangement.filter_flow if arrangement and filtered else None,
        dirt_capacity=capacity,
        roads=_ROADS[Roads(situation.roads)],
        breather_filtered=arrangement.breather_filtered if arrangement else False,
        sump_temperature_c=(usual_c if temperature is None else max(0.0, temperature - KELVIN)),
        short_run_share=situation.short_run_share,
        distance_since_rebuild=_rounded(situation.distance_since_rebuild, 1e3),
        annual_distance=_two_figures(situation.annual_distance),
        workshop_distance=situation.workshop_distance,
        workshop_months=situation.workshop_months,
        service_class=_service_class(situation),
    )
    return case, tuple(assumed)


def interval_record(inputs: Mapping[str, Any], result: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is named when an interval moves: its inputs, and what had to be assumed."""
    return {**inputs, "assumed": list(result["assumed"])}


def intervals_of_records(
    records: Sequence[Mapping[str, Any]],
) -> list[Mapping[str, Any] | None]:
    """Compute what is kept of such records; None where a version knew other things."""
    try:
        cases = [
            OilChangeCase(**{name: value for name, value in record.items() if name != "assumed"})
            for record in records
        ]
        results = oil_change_intervals(cases)
    except (TypeError, OutOfRange):
        return [None] * len(records)
    return [
        _advice(case, tuple(record["assumed"]), result).result
        for record, case, result in zip(records, cases, results, strict=True)
    ]


def _service_class(situation: Situation) -> ServiceClass:
    if situation.kind in GEARED:
        return "gearbox"
    arrangement = situation.oil.arrangement
    own_oil = arrangement is not None and arrangement.feed in OIL_OF_ITS_OWN
    # where nobody knows where its oil comes from, it is held to be the engine's: the careful side
    return "small-unit" if situation.kind in SMALL and own_oil else "engine"


def _advice(
    case: OilChangeCase, assumed: tuple[str, ...], result: OilChangeInterval
) -> IntervalAdvice:
    months = max(1, floor(result.months))
    reasons = tuple({"code": r.code, **r.values} for r in reasons_for(result))
    kept = {
        "filtration": case.filtration,
        "distance": result.distance,
        "running_time": result.running_time,
        "months": months,
        "limited_by": result.limited_by,
        "limits": {
            name: None if limit is None else _plain(limit) for name, limit in result.limits.items()
        },
        "filter_change_distance": result.filter_change_distance,
        "compare": [_plain(alternative) for alternative in result.compare],
        "reasons": list(reasons),
        "assumed": list(assumed),
    }
    return IntervalAdvice(
        distance=result.distance,
        running_time=result.running_time,
        months=months,
        limited_by=result.limited_by,
        filter_change_distance=result.filter_change_distance,
        reasons=reasons,
        assumed=assumed,
        inputs=_plain(case),
        result=kept,
    )


def _plain(row: OilChangeCase | Limit | Alternative) -> dict[str, Any]:
    """Return the fields of a row, none of which holds fields of its own."""
    return {name: getattr(row, name) for name in _FIELDS[type(row)]}


_FIELDS = {
    kind: [field.name for field in fields(kind)] for kind in (OilChangeCase, Limit, Alternative)
}


def _rounded(value: float | None, step: float) -> float | None:
    """Round to a step, so that the last digit of an estimate doesn't make a new advice."""
    return None if value is None else round(value / step) * step


def _two_figures(value: float | None) -> float | None:
    """Round to two significant figures: an estimate drifts from day to day, advice shouldn't."""
    if value is None or not value > 0:
        return value
    return _rounded(value, 10.0 ** (floor(log10(value)) - 1))
