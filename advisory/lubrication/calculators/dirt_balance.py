"""The calculator of the dirt in a sump over its fills."""

import math
from collections.abc import Iterable, Sequence

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.calculation import (
    Answer,
    Bounds,
    Calculator,
    Field,
    NumberField,
    Out,
    QuantityField,
    QuantityOut,
    Shape,
    Values,
    Warned,
    WholeNumberField,
)
from advisory.common.problems import FieldError
from advisory.common.quantities import (
    CONCENTRATION,
    MASS_PER_TIME,
    TIME,
    VOLUME,
    VOLUME_PER_TIME,
)
from advisory.engineering.arguments import FloatArray
from advisory.engineering.dirt_balance import dirt_balance
from advisory.lubrication.calculators.filter_fields import (
    EFFICIENCY_FIELDS,
    EFFICIENCY_RULE,
    efficiency_of,
)

_FIELDS: tuple[Field, ...] = (
    QuantityField(
        name="sump_volume",
        description="Oil in the sump.",
        dimension=VOLUME,
        unit="litre",
        bounds=Bounds(above=0.0),
    ),
    QuantityField(
        name="ingress_rate",
        description="Dirt that arrives in a time.",
        dimension=MASS_PER_TIME,
        unit="mg/hour",
        bounds=Bounds(at_least=0.0),
    ),
    QuantityField(
        name="duration",
        description="Running time of each fill.",
        dimension=TIME,
        unit="hour",
        bounds=Bounds(at_least=0.0),
    ),
    QuantityField(
        name="filter_flow",
        description="Flow through the filter; none is no filter.",
        dimension=VOLUME_PER_TIME,
        unit="litre/minute",
        bounds=Bounds(at_least=0.0),
        default="0 litre/minute",
    ),
    *EFFICIENCY_FIELDS,
    QuantityField(
        name="initial_concentration",
        description="Dirt in the first fill at its start.",
        dimension=CONCENTRATION,
        unit="mg/litre",
        bounds=Bounds(at_least=0.0),
        default="0 mg/litre",
    ),
    NumberField(
        name="residue_fraction",
        description="Share of the old oil that stays behind at each drain.",
        bounds=Bounds(at_least=0.0, at_most=1.0),
        default=0,
    ),
    WholeNumberField(
        name="fills",
        description="How many fills in a row, the residue carried over.",
        bounds=Bounds(at_least=1.0, at_most=1_000_000.0),
        default=1,
    ),
)

_ANSWERS: tuple[Out, ...] = (
    QuantityOut(
        name="concentration",
        description="Dirt at the end of the last fill, before the drain.",
        unit="mg/l",
        dimension=CONCENTRATION,
    ),
    QuantityOut(
        name="steady_concentration",
        description="What one fill would come to if it went on for ever; null without a filter.",
        unit="mg/l",
        dimension=CONCENTRATION,
        nullable=True,
    ),
    QuantityOut(
        name="time_constant",
        description="Time in which the distance to the steady concentration falls to 1/e; null "
        "without a filter.",
        unit="hour",
        dimension=TIME,
        nullable=True,
    ),
)


def _filter_is_described(values: Values) -> Iterable[FieldError]:
    if values["filter_flow"] > 0.0 and efficiency_of(values) is None:
        yield FieldError(
            "efficiency",
            _("With a flow through the filter, give its beta_ratio or its efficiency."),
            "beta_ratio or efficiency",
        )


def _warnings(row: Values) -> tuple[Warned, ...]:
    if row["filter_flow"] == 0.0 and efficiency_of(row) is not None:
        return (
            Warned(
                "no_filter_flow",
                _("The filter's efficiency counts for nothing: no filter_flow is given."),
            ),
        )
    return ()


def _compute(rows: Sequence[Values]) -> list[Answer]:
    def column(name: str) -> FloatArray:
        return np.array([row[name] for row in rows], dtype=np.float64)

    end = dirt_balance(
        sump_volume=column("sump_volume"),
        ingress_rate=column("ingress_rate"),
        duration=column("duration"),
        filter_flow=column("filter_flow"),
        efficiency=np.array([efficiency_of(row) or 0.0 for row in rows]),
        initial_concentration=column("initial_concentration"),
        residue_fraction=column("residue_fraction"),
        fills=column("fills"),
    )
    figures = zip(
        rows,
        end.concentration.tolist(),
        end.steady_concentration.tolist(),
        end.time_constant.tolist(),
        strict=True,
    )
    return [
        Answer(
            {
                "concentration": concentration,
                "steady_concentration": steady if math.isfinite(steady) else None,
                "time_constant": constant if math.isfinite(constant) else None,
            },
            _warnings(row),
        )
        for row, concentration, steady, constant in figures
    ]


DIRT_BALANCE = Calculator(
    name="dirt-balance",
    version="1",
    summary="Dirt in a well-mixed sump, with or without a filter, over one fill or many.",
    takes=Shape(fields=_FIELDS, rules=(EFFICIENCY_RULE,), checks=(_filter_is_described,)),
    answers=_ANSWERS,
    sources=(
        "Mass balance of a stirred vessel, solved exactly",
        "ISO 16889, efficiency 1 - 1/beta (read in a summary)",
    ),
    compute=_compute,
    example={
        "sump_volume": "5 litre",
        "ingress_rate": "10 mg/hour",
        "duration": "40 hour",
        "filter_flow": "0.8 litre/minute",
        "beta_ratio": 2,
    },
)
