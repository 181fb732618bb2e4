"""What the calculator of the journal bearing takes, and what must hold between its fields."""

from collections.abc import Iterable

from django.utils.translation import gettext as _

from advisory.common.calculation import (
    Bounds,
    ChoiceField,
    Field,
    OneWay,
    QuantityField,
    Shape,
    Values,
    Way,
)
from advisory.common.calculation.oil_fields import OIL_FIELDS, oil_ways, thins_with_heat
from advisory.common.problems import FieldError
from advisory.common.quantities import (
    AREA,
    DYNAMIC_VISCOSITY,
    FORCE,
    HEAT_TRANSFER_COEFFICIENT,
    LENGTH,
    ROTATION,
    TEMPERATURE,
)
from advisory.engineering.journal_bearing import STILL_AIR_COEFFICIENT
from advisory.engineering.metals import BearingMaterial
from advisory.engineering.viscosity import TEMPERATURE_RANGE_C

OIL_FLOW, HOUSING = "oil-flow", "housing"

_SHORTEST, _LONGEST = 0.1, 2.0  # diameters
_WIDEST = 0.1  # of the diameter
# A length of just two diameters passes in any unit.
_SLACK = 1e-12
_LENGTH = Bounds(above=0.0, at_most=10_000.0)
_TEMPERATURE = Bounds(at_least=TEMPERATURE_RANGE_C[0], at_most=TEMPERATURE_RANGE_C[1])
_OF_THE_HOUSING = ("ambient_temperature", "housing_area")


def _temperature(name: str, what: str) -> QuantityField:
    return QuantityField(
        name=name,
        description=what,
        dimension=TEMPERATURE,
        unit="degC",
        bounds=_TEMPERATURE,
        default=None,
    )


_FIELDS: tuple[Field, ...] = (
    QuantityField(
        name="diameter",
        description="Diameter of the journal.",
        dimension=LENGTH,
        unit="mm",
        bounds=_LENGTH,
    ),
    QuantityField(
        name="length",
        description="Length of the bearing along the journal, 0.1 to 2 diameters.",
        dimension=LENGTH,
        unit="mm",
        bounds=_LENGTH,
    ),
    QuantityField(
        name="running_clearance",
        description="Running clearance, diametral: bore less journal.",
        dimension=LENGTH,
        unit="mm",
        bounds=_LENGTH,
    ),
    QuantityField(
        name="speed",
        description="Speed of the journal against bearing and load.",
        dimension=ROTATION,
        unit="rpm",
        bounds=Bounds(above=0.0, at_most=1e6),
    ),
    QuantityField(
        name="load",
        description="Load on the bearing, steady in size and direction.",
        dimension=FORCE,
        unit="N",
        bounds=Bounds(above=0.0, at_most=1e9),
    ),
    QuantityField(
        name="viscosity",
        description="Dynamic viscosity of the oil in the film, where it is known; then no "
        "temperature is worked out.",
        dimension=DYNAMIC_VISCOSITY,
        unit="mPa*s",
        bounds=Bounds(at_least=1e-3, at_most=1e7),
        default=None,
    ),
    *OIL_FIELDS,
    ChoiceField(
        name="cooling",
        description="What carries off the heat: the oil that flows through, or the housing.",
        choices=(OIL_FLOW, HOUSING),
        default=None,
    ),
    _temperature(
        "supply_temperature",
        "Temperature of the oil that is drawn in. With cooling by the housing it counts for "
        "nothing.",
    ),
    _temperature("ambient_temperature", "Temperature of the air about the housing."),
    QuantityField(
        name="housing_area",
        description="Surface of the housing that gives off heat; about 20 times diameter times "
        "length for a bearing in a machine's structure (ISO 7902-1, from memory).",
        dimension=AREA,
        unit="m2",
        bounds=Bounds(above=0.0, at_most=1e4),
        default=None,
    ),
    QuantityField(
        name="heat_transfer_coefficient",
        description="Heat that the housing gives off; 15 to 20 W/m2/K in still air (ISO 7902-1, "
        "from memory).",
        dimension=HEAT_TRANSFER_COEFFICIENT,
        unit="W/m2/K",
        bounds=Bounds(above=0.0, at_most=1e5),
        default=f"{STILL_AIR_COEFFICIENT:g} W/m2/K",
    ),
    QuantityField(
        name="surface_roughness",
        description="Roughness of journal and bearing combined, rms: the root of the sum of "
        "their squares.",
        dimension=LENGTH,
        unit="um",
        bounds=Bounds(above=0.0, at_most=1000.0),
        default=None,
    ),
    ChoiceField(
        name="material",
        description="Metal of the bearing.",
        choices=tuple(material.value for material in BearingMaterial),
        default=None,
    ),
)


def _of_a_bearing(values: Values) -> Iterable[FieldError]:
    """Hold length and clearance against the diameter: beyond, the table says nothing."""
    diameter = values["diameter"]
    ratio = values["length"] / diameter
    if not _SHORTEST * (1.0 - _SLACK) <= ratio <= _LONGEST * (1.0 + _SLACK):
        limit = _("%(least)g to %(most)g times the diameter") % {
            "least": _SHORTEST,
            "most": _LONGEST,
        }
        yield FieldError(
            "length",
            _("It must be %(limit)s, not %(given).4g times.") % {"limit": limit, "given": ratio},
            limit,
        )
    clearance = values["running_clearance"] / diameter
    if not clearance < _WIDEST:
        limit = _("below a tenth of the diameter")
        yield FieldError(
            "running_clearance",
            _("It must be %(limit)s, not %(given).4g of it.")
            % {"limit": limit, "given": clearance},
            limit,
        )


def _cooling_is_described(values: Values) -> Iterable[FieldError]:
    """Ask for what the chosen cooling needs, and for nothing of the other."""
    cooling = values["cooling"]
    needed = {OIL_FLOW: ("supply_temperature",), HOUSING: _OF_THE_HOUSING}.get(cooling, ())
    with_it = _("needed with cooling “%(cooling)s”") % {"cooling": cooling}
    for name in needed:
        if values[name] is None:
            yield FieldError(name, _("It is %(limit)s.") % {"limit": with_it}, with_it)
    if cooling == OIL_FLOW:
        only = _("only with cooling “%(cooling)s”") % {"cooling": HOUSING}
        for name in _OF_THE_HOUSING:
            if values[name] is not None:
                yield FieldError(name, _("It counts %(limit)s.") % {"limit": only}, only)


SHAPE = Shape(
    fields=_FIELDS,
    rules=(
        OneWay(
            (
                Way(("viscosity",)),
                *oil_ways(
                    ("cooling",),
                    ("supply_temperature", *_OF_THE_HOUSING, "heat_transfer_coefficient"),
                ),
            )
        ),
    ),
    checks=(thins_with_heat, _of_a_bearing, _cooling_is_described),
)
