"""The units of the bench: which are offered to type in, and which an answer is read in."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import floor, log10
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from advisory.common.calculation import QuantityField
from advisory.common.fields import UNIT_WORDS
from advisory.common.quantities import (
    AREA,
    CONCENTRATION,
    DENSITY,
    DYNAMIC_VISCOSITY,
    FORCE,
    HEAT_TRANSFER_COEFFICIENT,
    KINEMATIC_VISCOSITY,
    LENGTH,
    LENGTH_PER_TIME,
    MASS,
    MASS_PER_TIME,
    PRESSURE,
    ROTATION,
    SPEED,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    TIME,
    TORQUE,
    VOLUME,
    VOLUME_PER_TIME,
    Dimension,
    Preferences,
    from_si,
    number_in_words,
    to_si,
)

_DIGITS = 4  # that are worth reading
_TOLD = 5  # of a limit: one fewer than a calculator tells, as it is converted
_NO_BREAK = "\N{NO-BREAK SPACE}"
_MINUS = "\N{MINUS SIGN}"

# By dimension and the unit that a field is declared in; the first is the metric one.
_OFFERED: dict[tuple[Dimension, str], tuple[str, ...]] = {
    (LENGTH, "mm"): ("mm", "inch", "thou", "um", "m"),
    (LENGTH, "um"): ("um", "microinch", "thou", "mm"),
    (LENGTH, "km"): ("km", "mile"),
    (AREA, "m2"): ("m2", "cm2", "foot2", "inch2"),
    (VOLUME, "litre"): ("litre", "ml", "imperial_pint"),
    (VOLUME, "ml"): ("ml", "litre", "imperial_pint", "imperial_fluid_ounce"),
    (MASS, "g"): ("g", "kg", "oz"),
    (TIME, "hour"): ("hour", "minute", "day"),
    (TEMPERATURE, "degC"): ("degC", "degF"),
    (SPEED, "km/hour"): ("km/hour", "mph"),
    (LENGTH_PER_TIME, "km/year"): ("km/year", "mile/year"),
    (ROTATION, "rpm"): ("rpm", "rev/s", "rad/s"),
    (FORCE, "N"): ("N", "kN", "lbf"),
    (PRESSURE, "bar"): ("bar", "psi", "kPa", "MPa"),
    (DENSITY, "kg/m3"): ("kg/m3", "g/cm3", "lb/foot3"),
    (CONCENTRATION, "mg/litre"): ("mg/litre", "g/litre"),
    (MASS_PER_TIME, "mg/hour"): ("mg/hour", "g/hour", "g/day"),
    (VOLUME_PER_TIME, "litre/minute"): ("litre/minute", "ml/minute", "imperial_pint/minute"),
    (KINEMATIC_VISCOSITY, "mm2/s"): ("mm2/s", "cSt"),
    (DYNAMIC_VISCOSITY, "mPa*s"): ("mPa*s", "cP", "Pa*s"),
    (HEAT_TRANSFER_COEFFICIENT, "W/m2/K"): ("W/m2/K", "mW/cm2/K"),
}

_WORDS: dict[str, Promise | str] = UNIT_WORDS | {
    "um": _("µm"),
    "microinch": _("µinch"),
    "m": _("m"),
    "m2": _("m²"),
    "cm2": _("cm²"),
    "foot2": _("sq ft"),
    "inch2": _("sq inch"),
    "ml": _("ml"),
    "imperial_fluid_ounce": _("fl oz"),
    "hour": _("hours"),
    "minute": _("minutes"),
    "day": _("days"),
    "km/hour": _("km/h"),
    "km/year": _("km a year"),
    "mile/year": _("miles a year"),
    "mg/litre": _("mg/l"),
    "g/litre": _("g/l"),
    "ml/minute": _("ml/min"),
    "mg/hour": _("mg/h"),
    "g/hour": _("g/h"),
    "g/day": _("g a day"),
    "g/cm3": _("g/cm³"),
    "lb/foot3": _("lb/cu ft"),
    "mPa*s": _("mPa·s"),
    "Pa*s": _("Pa·s"),
    "W/m2/K": _("W/m²/K"),
    "mW/cm2/K": _("mW/cm²/K"),
    "delta_degC": _("°C"),
    "delta_degF": _("°F"),
    "degree": _("°"),
    "lbf*foot": _("lbf·ft"),
    "foot/s": _("ft/s"),
    "psi*foot/minute": _("psi·ft/min"),
    "um per 1000 km": _("µm per 1000 km"),
    "thou per 1000 miles": _("thou per 1000 miles"),
    "g": _("g"),
}

_SPELT = re.compile(r"\b(?:delta_degC|degC|kg/m3|W/m2/K|mm2/s|mPa\*s)\b")

_NUMBER = r"-?\d+(?:\.\d+)?(?:e[+-]\d+)?"
_WITH_POWER = re.compile(r"-?\d+(?:\.\d+)?e[+-]\d+")


@cache
def _psi_foot_per_minute() -> float:
    """Return a psi foot per minute in Pa m/s; on demand, as Pint's table takes time to read."""
    return to_si(1.0, "psi", PRESSURE) * 0.3048 / 60.0


@dataclass(frozen=True)
class Scale:
    """How figures that come in one unit are read in another."""

    unit: str
    told: str
    dimension: Dimension | None = None
    factor: float = 1.0

    def of(self, value: float) -> float:
        """Convert a value."""
        if self.dimension is None or self.unit == self.told:
            return value * self.factor
        return from_si(to_si(value, self.told, self.dimension), self.unit, self.dimension)

    @property
    def words(self) -> str:
        """The unit as it is read."""
        return unit_words(self.unit)


def unit_words(unit: str) -> str:
    """Write a unit for a person."""
    return str(_WORDS.get(unit, unit))


def in_words(text: str) -> str:
    """Write the units in a text that was meant for programs as a person reads them."""
    return _SPELT.sub(lambda match: unit_words(match[0]), text)


def plain_figures(value: float) -> str:
    """Write a limit as a person would type it."""
    return in_figures(float(f"{value:.{_TOLD}g}"), _TOLD).replace(_MINUS, "-")


def refusal_in_words(message: str, field: QuantityField | None = None, unit: str = "") -> str:
    """Write what a calculator says of a field in plain figures, and in the unit of its reader.

    A calculator speaks to programs, in the unit in which the field is declared.
    """
    if field is not None:
        told, dimension = field.unit, field.dimension

        def read(match: re.Match[str]) -> str:
            value = from_si(to_si(float(match[1]), told, dimension), unit, dimension)
            return f"{plain_figures(value)} {unit_words(unit)}"

        message = re.sub(rf"({_NUMBER}) {re.escape(told)}(?![\w/*])", read, message)
    return _WITH_POWER.sub(lambda match: plain_figures(float(match[0])), message)


def in_figures(value: float, digits: int = _DIGITS) -> str:
    """Write a number with the digits that are worth reading."""
    if value == 0.0:
        return number_in_words(0.0, 0)
    said = number_in_words(abs(value), max(0, digits - 1 - floor(log10(abs(value)))))
    return said if value > 0.0 else f"{_MINUS}{said}"


@dataclass(frozen=True)
class Words:
    """Figures in the words and the units of one reader."""

    preferences: Preferences

    @property
    def in_thou(self) -> bool:
        """Whether the reader's bench is an inch one."""
        return self.preferences.small_length == "thou"

    def offered(self, field: QuantityField) -> tuple[str, ...]:
        """Return the units that a field can be typed in."""
        return _OFFERED.get((field.dimension, field.unit), (field.unit,))

    def usual(self, field: QuantityField, *, fine: bool) -> str:
        """Return the unit that this reader is likely to type."""
        usual = {
            (LENGTH, "mm"): ("thou" if fine else "inch") if self.in_thou else "mm",
            (LENGTH, "um"): "microinch" if self.in_thou else "um",
            (LENGTH, "km"): self.preferences.distance,
            (FORCE, "N"): "lbf" if self.in_thou else "N",
            (PRESSURE, "bar"): "psi" if self.in_thou else "bar",
            (AREA, "m2"): "inch2" if self.in_thou else "m2",
            (TEMPERATURE, "degC"): self.preferences.temperature,
            (SPEED, "km/hour"): "mph" if self.preferences.distance == "mile" else "km/hour",
            (LENGTH_PER_TIME, "km/year"): f"{self.preferences.distance}/year",
            (VOLUME, "litre"): "imperial_pint" if self.preferences.volume == "pint" else "litre",
        }
        return usual.get((field.dimension, field.unit), field.unit)

    def scale(self, told: str) -> Scale:
        """Return how figures in a unit of an answer are read by this reader."""
        if told == "um per 1000 km" and self.in_thou and self.preferences.distance == "mile":
            return Scale("thou per 1000 miles", told, factor=1.609344 / 25.4)
        if told == "MPa·m/s" and self.in_thou:
            return Scale("psi*foot/minute", told, factor=1e6 / _psi_foot_per_minute())
        inch: Mapping[str, tuple[str, Dimension]] = {
            "um": ("thou", LENGTH),
            "MPa": ("psi", PRESSURE),
            "N": ("lbf", FORCE),
            "N·m": ("lbf*foot", TORQUE),
            "m/s": ("foot/s", SPEED),
        }
        read = inch.get(told) if self.in_thou else None
        if told == "km" and self.preferences.distance == "mile":
            read = ("mile", LENGTH)
        if told == "ml/min" and self.preferences.volume == "pint":
            read = ("imperial_pint/minute", VOLUME_PER_TIME)
        if told == "degC":
            read = (self.preferences.temperature, TEMPERATURE)
        if told == "delta_degC":
            read = (f"delta_{self.preferences.temperature}", TEMPERATURE_DIFFERENCE)
        return Scale(told, told) if read is None else Scale(read[0], told, read[1])

    def pair(self, told: Mapping[str, Any]) -> tuple[str, str]:
        """Return number and unit of a quantity of an answer, as this reader reads them."""
        scale = self.scale(told["unit"])
        return in_figures(scale.of(float(told["value"]))), scale.words

    def quantity(self, told: Mapping[str, Any]) -> str:
        """Write a quantity of an answer."""
        number, unit = self.pair(told)
        return f"{number}{unit}" if unit == "°" else f"{number}{_NO_BREAK}{unit}"
