"""The calculator of an oil feed pipe, round or squashed."""

import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.calculation import (
    Answer,
    Bounds,
    Calculator,
    Field,
    NumberOut,
    OneWay,
    Out,
    QuantityField,
    QuantityOut,
    Shape,
    Values,
    Warned,
    Way,
    by_kind,
    column,
)
from advisory.common.calculation.oil_fields import (
    OIL_FIELDS,
    oil_sources,
    oil_ways,
    oils_of,
    thins_with_heat,
)
from advisory.common.problems import FieldError
from advisory.common.quantities import (
    DYNAMIC_VISCOSITY,
    LENGTH,
    PRESSURE,
    TEMPERATURE,
    TIME,
    VOLUME,
    VOLUME_PER_TIME,
)
from advisory.engineering.arguments import FloatArray
from advisory.engineering.feed_pipe import (
    LAMINAR_REYNOLDS_NUMBER,
    NOT_LAMINAR,
    NOT_LAMINAR_REASON,
    feed_pipe_flow,
)
from advisory.engineering.viscosity import (
    TEMPERATURE_RANGE_C,
    TYPICAL_DENSITY,
    density,
    kinematic_viscosity,
)
from advisory.lubrication.calculators.viscosity import celsius

# A pipe that is squashed to just its bore passes in any unit.
_SLACK = 1e-12

_FIELDS: tuple[Field, ...] = (
    QuantityField(
        name="bore",
        description="Inside diameter of the pipe where it is round.",
        dimension=LENGTH,
        unit="mm",
        bounds=Bounds(above=0.0, at_most=1000.0),
    ),
    QuantityField(
        name="length",
        description="Length of the whole pipe.",
        dimension=LENGTH,
        unit="mm",
        bounds=Bounds(above=0.0, at_most=1e6),
    ),
    QuantityField(
        name="pressure_difference",
        description="Difference of pressure from end to end.",
        dimension=PRESSURE,
        unit="bar",
        bounds=Bounds(above=0.0, at_most=1e4),
    ),
    QuantityField(
        name="viscosity",
        description="Dynamic viscosity of the oil in the pipe, instead of an oil and its "
        "temperature.",
        dimension=DYNAMIC_VISCOSITY,
        unit="mPa*s",
        bounds=Bounds(at_least=1e-3, at_most=1e7),
        default=None,
    ),
    *OIL_FIELDS,
    QuantityField(
        name="temperature",
        description="Temperature of the oil in the pipe.",
        dimension=TEMPERATURE,
        unit="degC",
        bounds=Bounds(at_least=TEMPERATURE_RANGE_C[0], at_most=TEMPERATURE_RANGE_C[1]),
        default=None,
    ),
    QuantityField(
        name="flattened_to",
        description="Inside height of the pipe where it is squashed; its wall is neither longer "
        "nor shorter for it.",
        dimension=LENGTH,
        unit="mm",
        bounds=Bounds(above=0.0),
        default=None,
    ),
    QuantityField(
        name="flattened_length",
        description="How much of the length is squashed; all of it where left out.",
        dimension=LENGTH,
        unit="mm",
        bounds=Bounds(above=0.0),
        default=None,
    ),
    QuantityField(
        name="volume_to_fill",
        description="What is to be filled through the pipe.",
        dimension=VOLUME,
        unit="ml",
        bounds=Bounds(above=0.0, at_most=1e9),
        default=None,
    ),
)


def _flow(name: str, what: str) -> QuantityOut:
    return QuantityOut(
        name=name, description=what, unit="ml/min", dimension=VOLUME_PER_TIME, nullable=True
    )


_ANSWERS: tuple[Out, ...] = (
    _flow("flow", "What comes through; null where the flow would not be laminar."),
    _flow("flow_round", "What came through while the pipe was round; null likewise."),
    NumberOut(name="flow_ratio", description="The one over the other.", nullable=True),
    NumberOut(
        name="reynolds_number",
        description="As the laminar law gives it; above 2000 the law is not used.",
    ),
    QuantityOut(
        name="filling_time",
        description="For the volume to fill; null where none was given.",
        unit="s",
        dimension=TIME,
        nullable=True,
    ),
)


def _squashed_within(values: Values) -> Iterable[FieldError]:
    """Hold the squashed part against the pipe."""
    for name, whole in (("flattened_to", "bore"), ("flattened_length", "length")):
        if values[name] is not None and not values[name] <= values[whole] * (1.0 + _SLACK):
            limit = _("at most the %(whole)s") % {"whole": whole}
            yield FieldError(
                name,
                _("It must be %(limit)s, not %(given).4g times it.")
                % {"limit": limit, "given": values[name] / values[whole]},
                limit,
            )


def _kind(row: Values) -> tuple[bool, ...]:
    return tuple(
        row[name] is None
        for name in ("viscosity", "flattened_to", "flattened_length", "volume_to_fill")
    )


def _oil_in_the_pipe(rows: Sequence[Values]) -> tuple[FloatArray, FloatArray]:
    """Return viscosity and density of the oil, which all cases give in one way."""
    if rows[0]["viscosity"] is not None:
        return column(rows, "viscosity"), np.full(len(rows), TYPICAL_DENSITY)
    oils = oils_of(rows)
    temperature_c = np.array([celsius(row["temperature"]) for row in rows])
    rho = density(oils, temperature_c)
    return kinematic_viscosity(oils, temperature_c) * rho, rho


def _given(rows: Sequence[Values], name: str) -> FloatArray | None:
    return None if rows[0][name] is None else column(rows, name)


def _warnings(flow: float, flow_round: float) -> Iterator[Warned]:
    if math.isnan(flow):
        yield Warned(NOT_LAMINAR, _(NOT_LAMINAR_REASON))
    elif math.isnan(flow_round):
        yield Warned(
            "round_not_laminar",
            _(
                "In the round pipe the flow would not be laminar (Reynolds number above "
                "%(limit)g): there is nothing to compare with."
            )
            % {"limit": LAMINAR_REYNOLDS_NUMBER},
        )


def _plain(value: float) -> float | None:
    return None if math.isnan(value) else value


def _alike(rows: Sequence[Values]) -> list[Answer]:
    viscosity, rho = _oil_in_the_pipe(rows)
    through = feed_pipe_flow(
        bore=column(rows, "bore"),
        length=column(rows, "length"),
        pressure_difference=column(rows, "pressure_difference"),
        viscosity=viscosity,
        density=rho,
        flattened_to=_given(rows, "flattened_to"),
        flattened_length=_given(rows, "flattened_length"),
        volume_to_fill=_given(rows, "volume_to_fill"),
    )
    none = np.full(len(rows), np.nan)
    figures = zip(
        rows,
        through.flow.tolist(),
        through.flow_round.tolist(),
        through.flow_ratio.tolist(),
        through.reynolds_number.tolist(),
        (none if through.filling_time is None else through.filling_time).tolist(),
        strict=True,
    )
    return [
        Answer(
            {
                "flow": _plain(flow),
                "flow_round": _plain(flow_round),
                "flow_ratio": _plain(ratio),
                "reynolds_number": reynolds,
                "filling_time": _plain(filling),
            },
            tuple(_warnings(flow, flow_round)),
            oil_sources(row),
        )
        for row, flow, flow_round, ratio, reynolds, filling in figures
    ]


def _compute(rows: Sequence[Values]) -> list[Answer]:
    return by_kind(rows, _kind, _alike)


FEED_PIPE = Calculator(
    name="feed-pipe",
    version="1",
    summary="How much oil a feed pipe lets through, round or squashed, and how long a filling is.",
    takes=Shape(
        fields=_FIELDS,
        rules=(
            OneWay((Way(("viscosity",)), *oil_ways(("temperature",)))),
            OneWay((Way(("flattened_to",), ("flattened_length",)), Way(()))),
        ),
        checks=(thins_with_heat, _squashed_within),
    ),
    answers=_ANSWERS,
    sources=(
        "Round pipe: law of Hagen and Poiseuille, exact while the flow is laminar",
        (
            "Squashed pipe: ellipse of J. Boussinesq (1868), F. M. White, Viscous Fluid Flow, "
            "3-3, the wall's length kept; exact for an ellipse"
        ),
        (
            "Laminar up to a Reynolds number of 2000: O. Reynolds, Phil. Trans. R. Soc. 174 (1883) "
            "935-982"
        ),
    ),
    compute=_compute,
    example={
        "bore": "6 mm",
        "length": "800 mm",
        "pressure_difference": "1 bar",
        "lubricant": "sae-30",
        "temperature": "20 degC",
        "flattened_to": "3 mm",
        "flattened_length": "20 mm",
        "volume_to_fill": "60 ml",
    },
)
