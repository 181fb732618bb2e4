"""The calculator of coolant: when a mix of glycol and water begins to freeze."""

from collections.abc import Sequence

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.calculation import (
    Answer,
    Bounds,
    Calculator,
    ChoiceField,
    Field,
    NumberField,
    OneWay,
    Out,
    QuantityField,
    QuantityOut,
    Shape,
    Values,
    Warned,
    Way,
    YesNoOut,
    by_kind,
    column,
)
from advisory.common.quantities import TEMPERATURE, TEMPERATURE_DIFFERENCE
from advisory.engineering.coolant import (
    LARGEST_FRACTION,
    MARGIN_KELVIN,
    Glycol,
    coolant_strength,
    glycol_named,
)
from advisory.lubrication.calculators.viscosity import KELVIN, celsius

_FRACTION = Bounds(at_least=0.0, at_most=LARGEST_FRACTION)

_FIELDS: tuple[Field, ...] = (
    ChoiceField(
        name="glycol",
        description="Kind of glycol.",
        choices=tuple(glycol.value for glycol in Glycol),
    ),
    NumberField(
        name="volume_fraction",
        description="Share of glycol by volume, 0.5 for half and half.",
        bounds=_FRACTION,
        default=None,
    ),
    NumberField(
        name="mass_fraction",
        description="Share of glycol by mass, instead of the share by volume.",
        bounds=_FRACTION,
        default=None,
    ),
    QuantityField(
        name="lowest_temperature",
        description="Lowest temperature expected where the car stands.",
        dimension=TEMPERATURE,
        unit="degC",
        bounds=Bounds(at_least=-80.0, at_most=50.0),
    ),
)

_ANSWERS: tuple[Out, ...] = (
    QuantityOut(
        name="freezing_point",
        description="At which the first ice forms.",
        unit="degC",
        dimension=TEMPERATURE,
    ),
    QuantityOut(
        name="margin",
        description="Lowest temperature less freezing point.",
        unit="delta_degC",
        dimension=TEMPERATURE_DIFFERENCE,
    ),
    YesNoOut(
        name="enough",
        description=f"Whether the margin is at least {MARGIN_KELVIN:g} delta_degC.",
    ),
)


def _alike(rows: Sequence[Values]) -> list[Answer]:
    by = "volume_fraction" if rows[0]["mass_fraction"] is None else "mass_fraction"
    mix = coolant_strength(
        glycol=glycol_named(rows[0]["glycol"]),
        lowest_temperature_c=np.array([celsius(row["lowest_temperature"]) for row in rows]),
        **{by: column(rows, by)},
    )
    held = Warned(
        "held",
        _(
            "The mix is stronger than %(most).0f %% by mass, beyond which freezing points are not "
            "known here: that of %(most).0f %% is given, on the careful side."
        )
        % {"most": 100.0 * LARGEST_FRACTION},
    )
    figures = zip(
        (mix.freezing_point_c + KELVIN).tolist(),
        mix.margin.tolist(),
        mix.enough.tolist(),
        mix.held.tolist(),
        strict=True,
    )
    return [
        Answer(
            {"freezing_point": freezing, "margin": margin, "enough": enough},
            (held,) if is_held else (),
        )
        for freezing, margin, enough, is_held in figures
    ]


def _compute(rows: Sequence[Values]) -> list[Answer]:
    return by_kind(rows, lambda row: (row["glycol"], row["mass_fraction"] is None), _alike)


COOLANT = Calculator(
    name="coolant",
    version="1",
    summary="When a mix of glycol and water begins to freeze, and whether that is cold enough.",
    takes=Shape(
        fields=_FIELDS,
        rules=(OneWay((Way(("volume_fraction",)), Way(("mass_fraction",)))),),
    ),
    answers=_ANSWERS,
    sources=(
        (
            "A. Melinder, Properties of Secondary Working Fluids for Indirect Systems, IIR, Paris "
            "2010, as carried by CoolProp 8.0 (computed independently)"
        ),
        f"A margin of {MARGIN_KELVIN:g} K: handbook tables are up to 2.9 K warmer (read)",
    ),
    compute=_compute,
    example={
        "glycol": "ethylene",
        "volume_fraction": 0.5,
        "lowest_temperature": "-25 degC",
    },
    arguments={"lowest_temperature_c": "lowest_temperature"},
)
