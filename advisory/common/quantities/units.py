"""The one Pint registry, the dimensions that the service speaks of, and conversion to SI.

Volumes are imperial: this is a British workshop, a pint is 568.26 ml and a gallon 4.546 l. The
American ones have to be written as such, "US pint" or "US gallon".
"""

import re
import tokenize
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

if TYPE_CHECKING:
    from pint import UnitRegistry

#: Longest text that is read as a quantity, and as a unit.
LONGEST_TEXT = 64
LONGEST_UNIT = 32


class QuantityError(ValueError):
    """What was written is no quantity of the kind that is needed.

    `code` is for programs, `message` tells a person what to do, `limit` is what would be right.
    """

    def __init__(self, code: str, message: str, limit: str | None = None) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.limit = limit


@dataclass(frozen=True)
class Dimension:
    """A dimension: its name, the SI unit that it is kept in, and how one is written."""

    name: str
    si_unit: str
    example: str


LENGTH = Dimension("length", "m", "38.1 mm")
AREA = Dimension("area", "m**2", "0.02 m2")
VOLUME = Dimension("volume", "m**3", "4.5 litre")
MASS = Dimension("mass", "kg", "10 g")
TIME = Dimension("time", "s", "40 hour")
TEMPERATURE = Dimension("temperature", "kelvin", "80 degC")
TEMPERATURE_DIFFERENCE = Dimension("temperature difference", "delta_degC", "10 delta_degC")
SPEED = Dimension("speed", "m/s", "50 km/hour")
LENGTH_PER_TIME = Dimension("length/time", "m/s", "3000 mile/year")
ROTATION = Dimension("rotation", "rad/s", "1800 rpm")
FORCE = Dimension("force", "N", "500 lbf")
PRESSURE = Dimension("pressure", "Pa", "2 bar")
TORQUE = Dimension("torque", "N*m", "25 N*m")
POWER = Dimension("power", "W", "80 W")
DENSITY = Dimension("density", "kg/m**3", "880 kg/m3")
CONCENTRATION = Dimension("mass/volume", "kg/m**3", "80 mg/litre")
MASS_PER_TIME = Dimension("mass/time", "kg/s", "10 mg/hour")
VOLUME_PER_TIME = Dimension("volume/time", "m**3/s", "0.8 litre/minute")
KINEMATIC_VISCOSITY = Dimension("kinematic viscosity", "m**2/s", "100 mm2/s")
DYNAMIC_VISCOSITY = Dimension("dynamic viscosity", "Pa*s", "27.6 mPa*s")
HEAT_TRANSFER_COEFFICIENT = Dimension("heat transfer coefficient", "W/m**2/kelvin", "20 W/m2/K")

#: Degrees of each scale in kelvin, and where its zero lies; by definition.
_ABSOLUTE_TEMPERATURES = {
    "kelvin": (1.0, 0.0),
    "degree_Celsius": (1.0, 273.15),
    "degree_Fahrenheit": (5.0 / 9.0, 459.67 * 5.0 / 9.0),
    "degree_Rankine": (5.0 / 9.0, 0.0),
}
_TEMPERATURE_STEPS = frozenset({"kelvin", "delta_degree_Celsius", "delta_degree_Fahrenheit"})

_MEASURES = ("pint", "gallon", "quart", "gill", "fluid_ounce")
_WORDS = {
    **{word: f"imperial_{word}" for word in _MEASURES},
    **{f"{word}s": f"imperial_{word}" for word in _MEASURES},
    **{f"US_{word}s": word for word in _MEASURES},
    **{f"US_{word}": word for word in _MEASURES},
    "pt": "imperial_pint",
    "gal": "imperial_gallon",
    "qt": "imperial_quart",
    "fl_oz": "imperial_fluid_ounce",
    "floz": "imperial_fluid_ounce",
    "miles": "mile",
    "C": "degC",
    "F": "degF",
}
_PHRASES = (
    (re.compile(r"\b(US|us|U\.S\.|imperial|fl|UK)[ ]+(?=[A-Za-z])"), r"\1_"),
    (re.compile(r"\b(?:us|U\.S\.)_"), "US_"),
    (re.compile(r"\bUK_"), "imperial_"),
    (re.compile(r"(?:°|º|\bdegrees? |\bdeg )\s*([CF])\b"), r"deg\1"),
    (re.compile(r"\s+per\s+"), "/"),
    (re.compile(r"[·⋅]"), "*"),
    (re.compile(r"[μµ]"), "u"),
    (re.compile(r"⁻"), "-"),
    (re.compile(r"[¹²³]+"), lambda m: m[0].translate(str.maketrans("¹²³", "123"))),
    (re.compile(r'"|″'), "inch"),
    (re.compile(r"\^"), "**"),
    (re.compile(r"(?<=[A-Za-z])(-?[1-4])(?![0-9A-Za-z_])"), r"**\1"),
)
_UNIT = re.compile(r"\(?[A-Za-z_]+(?:\*\*-?[1-4])?(?:\)?[*/]\(?[A-Za-z_]+(?:\*\*-?[1-4])?)*\)?")
# Pint has both kinds: a British one that nobody ever means here would pass unnoticed.
_AMBIGUOUS = frozenset({"ton", "tons", "cup", "cups", "barrel", "barrels", "bbl", "mil", "mils"})


@lru_cache(maxsize=1)
def registry() -> "UnitRegistry[float]":
    """Return the registry, made when it is first needed: that takes a third of a second."""
    import pint

    made: UnitRegistry[float] = pint.UnitRegistry()
    made.define("@alias revolution = rev = revs")
    return made


def _pint_spelling(unit: str) -> str:
    text = unit.strip()
    for pattern, replacement in _PHRASES:
        text = pattern.sub(replacement, text)
    text = re.sub(r"\s*([*/])\s*", r"\1", text)
    text = re.sub(r"(?<=[A-Za-z0-9)])\s+(?=[A-Za-z(])", "*", text)
    if _UNIT.fullmatch(text) is None:
        raise ValueError(unit)
    words = re.findall(r"[A-Za-z_]+", text)
    for word in words:
        if word in _AMBIGUOUS:
            raise QuantityError(
                "unit_ambiguous",
                _("“%(unit)s” means different things to different people: use another unit.")
                % {"unit": word},
            )
    return re.sub(r"[A-Za-z_]+", lambda m: _WORDS.get(m[0], m[0]), text)


@dataclass(frozen=True)
class Scale:
    """From a unit to SI: value * factor / divisor + offset."""

    factor: float
    divisor: float = 1.0
    offset: float = 0.0

    def to_si(self, value: float) -> float:
        """Convert a value in the unit to SI."""
        return value * self.factor / self.divisor + self.offset

    def from_si(self, value: float) -> float:
        """Convert an SI value to the unit."""
        return (value - self.offset) * self.divisor / self.factor


def _scale(factor: float) -> Scale:
    # A litre is a thousandth, but Pint's chains of factors end in 0.0010000000000000002; and to
    # divide by a whole number rounds once where to multiply by its inverse rounds twice.
    tidy = float(f"{factor:.15g}")
    inverse = round(1.0 / tidy)
    if tidy < 1.0 and abs(inverse * tidy - 1.0) < 1e-14:
        return Scale(1.0, float(inverse))
    return Scale(tidy)


def _wrong_dimension(unit: str, dimension: Dimension) -> QuantityError:
    return QuantityError(
        "wrong_dimension",
        _("“%(unit)s” is not a unit of %(dimension)s: write it like “%(example)s”.")
        % {"unit": unit, "dimension": dimension.name, "example": dimension.example},
        dimension.name,
    )


@lru_cache(maxsize=4096)
def scale_of(unit: str, dimension: Dimension) -> Scale:
    """Return how a unit converts to SI, or raise QuantityError where it is of another dimension."""
    import pint

    if not unit.strip() or len(unit) > LONGEST_UNIT:
        raise QuantityError(
            "unit_unknown", _("Give a unit of at most %(n)d letters.") % {"n": LONGEST_UNIT}
        )
    ureg = registry()
    try:
        parsed = ureg.parse_units(_pint_spelling(unit))
    except QuantityError:
        raise
    except (pint.PintError, ValueError, TypeError, SyntaxError, tokenize.TokenError) as error:
        raise QuantityError(
            "unit_unknown",
            _("“%(unit)s” is no unit known here: write %(dimension)s like “%(example)s”.")
            % {"unit": unit, "dimension": dimension.name, "example": dimension.example},
            dimension.name,
        ) from error
    names = set(parsed._units)
    target = ureg.parse_units(dimension.si_unit)
    if parsed.dimensionality != target.dimensionality:
        raise _wrong_dimension(unit, dimension)
    if dimension == TEMPERATURE and not names <= set(_ABSOLUTE_TEMPERATURES):
        raise _wrong_dimension(unit, dimension)
    if dimension == TEMPERATURE_DIFFERENCE and not names <= _TEMPERATURE_STEPS:
        raise _wrong_dimension(unit, dimension)
    # 30 Hz may be meant as 30 turns a second; Pint, for which an angle has no dimension, takes it
    # for 30 radians.
    if ("radian" in set(ureg.get_base_units(parsed)[1]._units)) != (dimension == ROTATION):
        raise _wrong_dimension(unit, dimension)
    if dimension == TEMPERATURE:
        factor, offset = _ABSOLUTE_TEMPERATURES[names.pop()]
        return Scale(factor, offset=offset)
    return _scale(float(ureg.Quantity(1.0, parsed).to(target).magnitude))


def to_si(value: float, unit: str, dimension: Dimension) -> float:
    """Convert a value to SI, kelvin for a temperature."""
    return scale_of(unit, dimension).to_si(value)


def from_si(value: float, unit: str, dimension: Dimension) -> float:
    """Convert an SI value to a unit."""
    return scale_of(unit, dimension).from_si(value)
