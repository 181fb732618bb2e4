"""The choice of a unit's oil: from its case to oils that are judged, and kept."""

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any

from advisory.engineering.errors import OutOfRange
from advisory.engineering.oil_choice import (
    FilmVerdict,
    OilChoice,
    OilChoiceCase,
    case_from_record,
    oil_choice,
)
from advisory.lubrication.adapters.choice_case import ChoiceCase, LeftOut


def choose(case: OilChoiceCase) -> OilChoice:
    """Judge the oils of a case."""
    return oil_choice(case)


def choice_result(case: ChoiceCase, choice: OilChoice) -> dict[str, Any]:
    """Return what is kept, and told to programs, of a choice; SI, None where there is no figure."""
    bearings = choice.case.bearings
    cold = choice.cold
    oils = []
    for place, oil in enumerate(choice.case.oils):
        hot = {
            state: {
                "verdict": FilmVerdict(int(choice.verdict[row, place])).code,
                "bearing": bearings[int(choice.worst[row, place])].key,
                "film": _figure(choice.film[row, place]),
                "allowable_film": _figure(choice.allowable_film[row, place]),
                "film_ratio": _figure(choice.film_ratio[row, place]),
                "film_temperature_c": _figure(choice.film_temperature_c[row, place]),
                "power": _figure(choice.power[row, place]),
                "in_window": bool(choice.window[row, place]),
            }
            for row, state in enumerate(choice.states)
        }
        oils.append(
            {
                "oil": oil.key,
                "hot": hot,
                "cold": {
                    "viscosity": _figure(cold.viscosity[place]),
                    "flows": bool(cold.flows[place]),
                    "flow": None if cold.flow is None else _figure(cold.flow[place]),
                    "filling_time": (
                        None if cold.filling_time is None else _figure(cold.filling_time[place])
                    ),
                    "arrives": bool(cold.arrives[place]),
                },
            }
        )
    return {
        "states": list(choice.states),
        "windows": {
            state: [
                oil.key for oil, held in zip(choice.case.oils, choice.window[row], strict=True)
                if held
            ]
            for row, state in enumerate(choice.states)
        },
        "oils": oils,
        "washers": [
            {
                "washer": duty.key,
                "pressure": duty.pressure,
                "sliding_speed": duty.sliding_speed,
                "pressure_velocity": duty.pressure_velocity,
                "limits_kept": all(check.passed for check in duty.checks),
            }
            for duty in choice.washers
        ],
        "assumed": list(case.assumed),
        "left_out": [
            {"name": out.name, "missing": list(out.missing)} for out in case.left_out
        ],
        "names": dict(case.names),
    }  # fmt: skip


# what is only ever changed together
_TOGETHER = {
    "temperatures": ("cold_c", "warm_c", "hot_c"),
    "feed": ("forced_oil", "pumped"),
}


def choice_record(inputs: Mapping[str, Any], result: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is named when a choice moves: its inputs in parts that a person tells apart."""
    rows = {row["key"]: row for row in inputs["bearings"]}
    parts: dict[str, Any] = {
        f"clearance_{state}": {key: row[state] for key, row in rows.items()}
        for state in ("built", "now", "limit")
    }
    parts["bearings"] = {
        key: {name: row[name] for name in row if name not in {"built", "now", "limit"}}
        for key, row in rows.items()
    }
    for part, names in _TOGETHER.items():
        parts[part] = {name: inputs[name] for name in names}
    grouped = {"bearings", *(name for names in _TOGETHER.values() for name in names)}
    rest = {name: value for name, value in inputs.items() if name not in grouped}
    told = {name: result[name] for name in ("assumed", "left_out", "names")}
    return {**parts, **rest, **told}


def choices_of_records(records: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any] | None]:
    """Compute what is kept of such records; None for one of a version that knew other things."""
    return [_of_record(record) for record in records]


def _of_record(record: Mapping[str, Any]) -> Mapping[str, Any] | None:
    rest = dict(record)
    parts = {state: rest.pop(f"clearance_{state}") for state in ("built", "now", "limit")}
    told = {name: rest.pop(name) for name in ("assumed", "left_out", "names")}
    bearings = rest.pop("bearings")
    for part in _TOGETHER:
        rest |= rest.pop(part)
    try:
        case = case_from_record(
            {
                **rest,
                "bearings": [
                    {**row, **{state: values.get(key) for state, values in parts.items()}}
                    for key, row in bearings.items()
                ],
            }
        )
        choice = oil_choice(case)
    except (TypeError, KeyError, OutOfRange):
        return None
    left_out = tuple(LeftOut(row["name"], tuple(row["missing"])) for row in told["left_out"])
    return choice_result(ChoiceCase(case, tuple(told["assumed"]), left_out, told["names"]), choice)


def _figure(value: float) -> float | None:
    return float(value) if isfinite(value) else None
