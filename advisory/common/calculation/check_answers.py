"""Figures held against their limits, as every calculator answers with them."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from advisory.common.calculation.answers import (
    ListOut,
    ObjectOut,
    Out,
    TextOut,
    YesNoOut,
    finite,
)
from advisory.engineering.limit_check import LimitCheck

#: How a check in SI is told: in which unit, and how many of it one SI unit is.
_TOLD: dict[str, tuple[str, float]] = {
    "m": ("um", 1e6),
    "Pa": ("MPa", 1e-6),
    "Pa m/s": ("MPa·m/s", 1e-6),
    "degC": ("degC", 1.0),
    "": ("", 1.0),
}


@dataclass(frozen=True, kw_only=True)
class MeasureOut(Out):
    """A value in whatever unit it comes: with its unit, or a bare number where it has none."""

    def _written(self, value: tuple[float, str]) -> Any:
        number, unit = finite(self.name, value[0]), value[1]
        return {"value": number, "unit": unit} if unit else number

    def _form(self) -> dict[str, Any]:
        units = [unit for unit, _size in _TOLD.values() if unit]
        return {
            "anyOf": [
                {"type": "number"},
                {
                    "type": "object",
                    "properties": {"value": {"type": "number"}, "unit": {"enum": units}},
                    "required": ["value", "unit"],
                    "additionalProperties": False,
                },
            ]
        }


CHECKS_OUT = ListOut(
    name="checks",
    description="Figures against what is allowed, each with the source of its limit.",
    item=ObjectOut(
        name="check",
        description="One figure against its limit.",
        parts=(
            TextOut(name="name", description="What is checked."),
            MeasureOut(
                name="value",
                description="The figure; null where there is none, which does not pass.",
                nullable=True,
            ),
            MeasureOut(name="limit", description="The limit."),
            TextOut(
                name="kind",
                description="Whether the figure must be at least or at most the limit.",
                choices=("at least", "at most"),
            ),
            YesNoOut(name="passed", description="Whether it is so."),
            TextOut(name="source", description="Where the limit comes from."),
        ),
    ),
)


def told(checks: Iterable[LimitCheck]) -> list[dict[str, Any]]:
    """Turn checks in SI into values of `CHECKS_OUT`."""
    return [_told(check) for check in checks]


def _told(check: LimitCheck) -> dict[str, Any]:
    unit, size = _TOLD[check.unit]
    return {
        "name": check.name,
        "value": None if check.value is None else (check.value * size, unit),
        "limit": (check.limit * size, unit),
        "kind": check.kind,
        "passed": check.passed,
        "source": check.source,
    }
