"""The calculator of the journal bearing: its film, friction, flow and heat under a steady load."""

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.calculation import (
    CHECKS_OUT,
    Answer,
    Calculator,
    NumberOut,
    Out,
    QuantityOut,
    Values,
    Warned,
    by_kind,
    column,
    told,
)
from advisory.common.calculation.oil_fields import oil_sources, oils_of
from advisory.common.quantities import (
    DYNAMIC_VISCOSITY,
    LENGTH,
    POWER,
    PRESSURE,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    VOLUME_PER_TIME,
    Dimension,
)
from advisory.engineering.arguments import FloatArray
from advisory.engineering.journal_bearing import (
    MULTIGRADE_FACTOR,
    BearingPerformance,
    FilmOutcome,
    bearing_checks,
    film_ratio,
    housing_balance,
    load_solution,
    oil_flow_balance,
)
from advisory.engineering.lubricant_catalogue import LUBRICANTS
from advisory.engineering.metals import BearingMaterial
from advisory.engineering.viscosity import Oil, density
from advisory.lubrication.calculators.bearing_fields import HOUSING, SHAPE
from advisory.lubrication.calculators.viscosity import KELVIN, celsius

_TURN = 2.0 * math.pi  # rad


def _quantity(name: str, what: str, unit: str, dimension: Dimension | None = None) -> QuantityOut:
    return QuantityOut(name=name, description=what, unit=unit, dimension=dimension, nullable=True)


def _number(name: str, what: str) -> NumberOut:
    return NumberOut(name=name, description=what, nullable=True)


_ANSWERS: tuple[Out, ...] = (
    _number(
        "sommerfeld_number",
        "(R/c)^2 mu N/P: R the radius, c the radial clearance, mu the viscosity, N in rev/s, P the "
        "unit load.",
    ),
    _number("eccentricity_ratio", "Distance of the centres over the radial clearance."),
    _quantity("minimum_film_thickness", "Least film.", "um", LENGTH),
    QuantityOut(
        name="attitude_angle",
        description="From the load line to the line of centres.",
        unit="degree",
        per_si=360.0 / _TURN,
        nullable=True,
    ),
    _number("friction_coefficient", "Friction force over load."),
    _number("friction_variable", "(R/c) times the friction coefficient."),
    _quantity("friction_power", "Power lost in the film.", "W", POWER),
    _quantity("flow", "Oil drawn round at the widest gap.", "ml/min", VOLUME_PER_TIME),
    _number("flow_variable", "Flow over R c N L, L the length."),
    _number("side_flow_ratio", "Share of the flow that leaves at the two ends."),
    _quantity("maximum_pressure", "Peak of the film's pressure.", "MPa", PRESSURE),
    QuantityOut(
        name="unit_load",
        description="Load over diameter times length.",
        unit="MPa",
        dimension=PRESSURE,
    ),
    _number("pressure_ratio", "Unit load over maximum pressure."),
    _quantity(
        "film_temperature",
        "Of the film; null where its viscosity was given.",
        "degC",
        TEMPERATURE,
    ),
    _quantity(
        "temperature_rise",
        "From supply to outlet with cooling by the oil, over the air with cooling by the housing; "
        "null where the viscosity was given.",
        "delta_degC",
        TEMPERATURE_DIFFERENCE,
    ),
    _quantity("dynamic_viscosity", "Of the film.", "mPa·s", DYNAMIC_VISCOSITY),
    _number(
        "film_ratio",
        "Least film over combined roughness: above 3 full film, 1 to 3 mixed, below 1 boundary; "
        "null without a roughness.",
    ),
    CHECKS_OUT,
)
_FIGURES = tuple(
    out.name
    for out in _ANSWERS
    if out.name not in {"film_temperature", "temperature_rise", "film_ratio", "checks"}
)


def _turns(rows: Sequence[Values]) -> dict[str, FloatArray]:
    """Return the arguments that every relation takes, the speed in turns."""
    names = ("diameter", "length", "running_clearance", "load")
    return {name: column(rows, name) for name in names} | {"speed": column(rows, "speed") / _TURN}


def _celsius(rows: Sequence[Values], name: str) -> FloatArray:
    return np.array([celsius(row[name]) for row in rows], dtype=np.float64)


def _is_multigrade(row: Values) -> bool:
    return row["lubricant"] is not None and LUBRICANTS[row["lubricant"]].multigrade


def _settled(rows: Sequence[Values], oil: Oil | None) -> BearingPerformance:
    """Settle bearings that are cooled in one way."""
    bearings = _turns(rows)
    if oil is None:
        return load_solution(**bearings, viscosity=column(rows, "viscosity"))
    left = np.array([MULTIGRADE_FACTOR if _is_multigrade(row) else 1.0 for row in rows])
    if rows[0]["cooling"] == HOUSING:
        return housing_balance(
            **bearings,
            oil=oil,
            viscosity_factor=left,
            ambient_temperature_c=_celsius(rows, "ambient_temperature"),
            housing_area=column(rows, "housing_area"),
            heat_transfer_coefficient=column(rows, "heat_transfer_coefficient"),
        )
    return oil_flow_balance(
        **bearings,
        oil=oil,
        viscosity_factor=left,
        supply_temperature_c=_celsius(rows, "supply_temperature"),
    )


def _warnings(row: Values, outcome: FilmOutcome) -> Iterator[Warned]:
    if outcome is not FilmOutcome.CARRIED:
        yield Warned(outcome.code, _(outcome.reason))
    if row["cooling"] == HOUSING and row["supply_temperature"] is not None:
        yield Warned(
            "supply_temperature_ignored",
            _("With cooling by the housing the temperature of the supply counts for nothing."),
        )
    if _is_multigrade(row):
        yield Warned(
            "multigrade_shears",
            _("A multigrade shears in a film: %(share)g of its viscosity is counted (from memory).")
            % {"share": MULTIGRADE_FACTOR},
        )


_BALANCES = {
    None: (),
    HOUSING: ("ISO 7902-1, heat given off by the bearing housing (read in a lecture after it)",),
    "oil-flow": (
        (
            "Heat carried off by the oil, side flow leaving at the mean temperature: A. A. "
            "Raimondi, J. Boyd, ASLE Transactions 1 (1958) 159-209, as in machine-design "
            "textbooks (read in an open-source program after one)"
        ),
    ),
}


def _plain(value: float) -> float | None:
    return None if math.isnan(value) else value


def _cooled_alike(rows: Sequence[Values]) -> list[Answer]:
    oil = None if rows[0]["viscosity"] is not None else oils_of(rows)
    bearing = _settled(rows, oil)
    temperature, rise = bearing.film_temperature_c, bearing.temperature_rise
    figures: dict[str, list[Any]] = {name: getattr(bearing, name).tolist() for name in _FIGURES}
    if temperature is not None and rise is not None and oil is not None:
        figures["film_temperature"] = (temperature + KELVIN).tolist()
        figures["temperature_rise"] = rise.tolist()
        # where there is no film there is no Reynolds number either, whatever stands here
        densities = density(oil, np.where(bearing.carried, temperature, 15.0)).tolist()
    else:
        figures |= dict.fromkeys(("film_temperature", "temperature_rise"), [math.nan] * len(rows))
        densities = [None] * len(rows)
    answers = []
    for place, row in enumerate(rows):
        material, roughness = row["material"], row["surface_roughness"]
        values = {name: _plain(those[place]) for name, those in figures.items()}
        film = bearing.minimum_film_thickness[place]
        values["film_ratio"] = (
            None if roughness is None else _plain(float(film_ratio(film, roughness)))
        )
        checks = bearing_checks(
            bearing,
            (place,),
            surface_roughness=roughness,
            material=None if material is None else BearingMaterial(material),
            forced_oil=row["cooling"] != HOUSING,
            density=densities[place],
        )
        outcome = FilmOutcome(int(bearing.outcome[place]))
        answers.append(
            Answer(
                values | {"checks": told(checks)},
                tuple(_warnings(row, outcome)),
                (*_BALANCES[row["cooling"]], *oil_sources(row)),
            )
        )
    return answers


def _compute(rows: Sequence[Values]) -> list[Answer]:
    return by_kind(rows, lambda row: row["cooling"], _cooled_alike)


JOURNAL_BEARING = Calculator(
    name="journal-bearing",
    version="1",
    summary="Film, friction, flow, pressure and heat of a plain journal bearing, steadily loaded.",
    takes=SHAPE,
    answers=_ANSWERS,
    sources=(
        (
            "Reynolds' equation for the full bearing, supplied at the widest gap, with the "
            "rupture of Swift and Stieber; solved by finite volumes, read from a table of that "
            "solution"
        ),
        (
            "Checked against A. A. Raimondi, J. Boyd, ASLE Transactions 1 (1958) 159-209 (read as "
            "textbooks reprint it), and ISO 7902-2 (from memory); both computed independently"
        ),
    ),
    compute=_compute,
    example={
        "diameter": "50 mm",
        "length": "50 mm",
        "running_clearance": "0.06 mm",
        "speed": "1490 rpm",
        "load": "3200 N",
        "lubricant": "sae-30",
        "cooling": "oil-flow",
        "supply_temperature": "60 degC",
        "surface_roughness": "1 um",
        "material": "tin white metal",
    },
    arguments={
        "supply_temperature_c": "supply_temperature",
        "ambient_temperature_c": "ambient_temperature",
    },
)
