"""The calculator of the thrust washer: pressure, sliding speed and their product."""

import math
from collections.abc import Iterable, Sequence

from django.utils.translation import gettext as _

from advisory.common.calculation import (
    CHECKS_OUT,
    Answer,
    Bounds,
    Calculator,
    ChoiceField,
    Field,
    Out,
    QuantityField,
    QuantityOut,
    Shape,
    Values,
    YesNoField,
    by_kind,
    column,
    told,
)
from advisory.common.problems import FieldError
from advisory.common.quantities import FORCE, LENGTH, PRESSURE, ROTATION, SPEED
from advisory.engineering.metals import BearingMaterial
from advisory.engineering.thrust_washer import thrust_washer_checks, thrust_washer_duty

_TURN = 2.0 * math.pi  # rad
_LENGTH = Bounds(above=0.0, at_most=10_000.0)

_FIELDS: tuple[Field, ...] = (
    QuantityField(
        name="inner_diameter",
        description="Inner diameter of the face that bears.",
        dimension=LENGTH,
        unit="mm",
        bounds=_LENGTH,
    ),
    QuantityField(
        name="outer_diameter",
        description="Outer diameter of the face that bears.",
        dimension=LENGTH,
        unit="mm",
        bounds=_LENGTH,
    ),
    QuantityField(
        name="load",
        description="Load along the shaft.",
        dimension=FORCE,
        unit="N",
        bounds=Bounds(above=0.0, at_most=1e9),
    ),
    QuantityField(
        name="speed",
        description="Speed of the shaft against the housing.",
        dimension=ROTATION,
        unit="rpm",
        bounds=Bounds(above=0.0, at_most=1e6),
    ),
    YesNoField(
        name="floating",
        description="Whether the washer turns freely: each of its faces then slides at half the "
        "speed.",
        default=True,
    ),
    ChoiceField(
        name="material",
        description="Metal of the faces that slide on steel.",
        choices=tuple(material.value for material in BearingMaterial),
        default=None,
    ),
)

_ANSWERS: tuple[Out, ...] = (
    QuantityOut(
        name="pressure", description="Load over the ring's face.", unit="MPa", dimension=PRESSURE
    ),
    QuantityOut(
        name="sliding_speed",
        description="At the mean diameter, one face.",
        unit="m/s",
        dimension=SPEED,
    ),
    QuantityOut(
        name="pressure_velocity",
        description="Pressure times sliding speed.",
        unit="MPa·m/s",
        per_si=1e-6,
    ),
    CHECKS_OUT,
)


def _is_a_ring(values: Values) -> Iterable[FieldError]:
    if not values["inner_diameter"] < values["outer_diameter"]:
        yield FieldError(
            "inner_diameter",
            _("It must be below the outer diameter: were the two exchanged?"),
            "below outer_diameter",
        )


def _turning_alike(rows: Sequence[Values]) -> list[Answer]:
    duty = thrust_washer_duty(
        inner_diameter=column(rows, "inner_diameter"),
        outer_diameter=column(rows, "outer_diameter"),
        load=column(rows, "load"),
        speed=column(rows, "speed") / _TURN,
        floating=rows[0]["floating"],
    )
    answers = []
    for place, row in enumerate(rows):
        material = row["material"]
        checks = thrust_washer_checks(
            duty, (place,), material=None if material is None else BearingMaterial(material)
        )
        answers.append(
            Answer(
                {
                    "pressure": float(duty.pressure[place]),
                    "sliding_speed": float(duty.sliding_speed[place]),
                    "pressure_velocity": float(duty.pressure_velocity[place]),
                    "checks": told(checks),
                }
            )
        )
    return answers


def _compute(rows: Sequence[Values]) -> list[Answer]:
    return by_kind(rows, lambda row: row["floating"], _turning_alike)


THRUST_WASHER = Calculator(
    name="thrust-washer",
    version="1",
    summary="Pressure, sliding speed and their product at a thrust washer's face.",
    takes=Shape(fields=_FIELDS, checks=(_is_a_ring,)),
    answers=_ANSWERS,
    sources=(
        "Definitions: load over the ring's area, speed at the mean diameter",
        "That a floating washer settles at half the speed: both its faces rub alike (assumed)",
    ),
    compute=_compute,
    example={
        "inner_diameter": "30 mm",
        "outer_diameter": "50 mm",
        "load": "300 N",
        "speed": "3000 rpm",
        "material": "bronze",
    },
)
