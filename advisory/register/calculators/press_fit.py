"""The calculator of the press fit: a sleeve on a shaft."""

from collections.abc import Iterable, Iterator, Sequence

from django.utils.translation import gettext as _

from advisory.common.calculation import (
    CHECKS_OUT,
    Answer,
    Bounds,
    Calculator,
    ChoiceField,
    Field,
    NumberField,
    Out,
    QuantityField,
    QuantityOut,
    Shape,
    Values,
    Warned,
    by_kind,
    column,
    told,
)
from advisory.common.problems import FieldError
from advisory.common.quantities import (
    FORCE,
    LENGTH,
    PRESSURE,
    TEMPERATURE_DIFFERENCE,
    TORQUE,
)
from advisory.engineering.limit_check import LimitCheck
from advisory.engineering.press_fit import (
    FRICTION_SOURCE,
    METAL_SOURCE,
    STEEL_FRICTION,
    YELLOW_METAL_FRICTION,
    PressFitMaterial,
    press_fit,
    press_fit_checks,
    press_fit_material,
)

_LENGTH = Bounds(above=0.0, at_most=10_000.0)
_FROM_NOTHING = Bounds(at_least=0.0, at_most=10_000.0)
_MOST_INTERFERENCE = 0.02  # of the interface diameter


def _length(name: str, what: str, bounds: Bounds = _LENGTH, **default: str | None) -> QuantityField:
    return QuantityField(
        name=name, description=what, dimension=LENGTH, unit="mm", bounds=bounds, **default
    )


def _material(name: str, what: str) -> ChoiceField:
    return ChoiceField(
        name=name,
        description=what,
        choices=tuple(material.value for material in PressFitMaterial),
    )


_FIELDS: tuple[Field, ...] = (
    _length("interface_diameter", "Diameter at which sleeve and shaft meet."),
    _length("sleeve_outer_diameter", "Outer diameter of the sleeve."),
    _length("length", "Length over which they meet."),
    _length(
        "interference",
        "Interference, diametral: shaft less sleeve before assembly.",
        _FROM_NOTHING,
    ),
    _length("shaft_inner_diameter", "Bore of a hollow shaft.", _FROM_NOTHING, default="0 mm"),
    _material("sleeve_material", "Metal of the sleeve."),
    _material("shaft_material", "Metal of the shaft."),
    NumberField(
        name="friction_coefficient",
        description="Friction where they meet, dry steel on steel where left out.",
        bounds=Bounds(above=0.0, at_most=1.0),
        default=STEEL_FRICTION,
    ),
    _length(
        "assembly_clearance",
        "Play to have in hand, diametral, while the warm sleeve goes on.",
        _FROM_NOTHING,
        default="0 mm",
    ),
)


def _pressure(name: str, what: str) -> QuantityOut:
    return QuantityOut(name=name, description=what, unit="MPa", dimension=PRESSURE)


_ANSWERS: tuple[Out, ...] = (
    _pressure("pressure", "Where they meet."),
    _pressure("sleeve_hoop_stress", "At the sleeve's bore, in tension."),
    _pressure("shaft_hoop_stress", "Of the shaft where they meet, negative in compression."),
    QuantityOut(
        name="push_off_force",
        description="Along the shaft, that moves the sleeve.",
        unit="N",
        dimension=FORCE,
    ),
    QuantityOut(name="torque", description="That slips it.", unit="N·m", dimension=TORQUE),
    QuantityOut(
        name="assembly_temperature_rise",
        description="Of the sleeve over the shaft, to go on with the clearance asked for.",
        unit="delta_degC",
        dimension=TEMPERATURE_DIFFERENCE,
    ),
    CHECKS_OUT,
)


def _diameters_follow(values: Values) -> Iterable[FieldError]:
    interface = values["interface_diameter"]
    limit = _("above the interface diameter")
    if not values["sleeve_outer_diameter"] > interface:
        yield FieldError(
            "sleeve_outer_diameter", _("It must be %(limit)s.") % {"limit": limit}, limit
        )
    limit = _("below the interface diameter")
    if not values["shaft_inner_diameter"] < interface:
        yield FieldError(
            "shaft_inner_diameter", _("It must be %(limit)s.") % {"limit": limit}, limit
        )
    if not values["interference"] < _MOST_INTERFERENCE * interface:
        limit = _("below a fiftieth of the interface diameter")
        yield FieldError(
            "interference",
            _("It must be %(limit)s: no metal here stands more.") % {"limit": limit},
            limit,
        )


_YELLOW = frozenset({PressFitMaterial.BRONZE, PressFitMaterial.BRASS})


def _warnings(
    row: Values, metals: frozenset[PressFitMaterial], checks: Sequence[LimitCheck]
) -> Iterator[Warned]:
    low, high = YELLOW_METAL_FRICTION
    if metals & _YELLOW and row["friction_coefficient"] > high:
        yield Warned(
            "friction_too_high",
            _(
                "Friction of %(given)g is that of steel on steel. On bronze or brass count on "
                "%(low)g to %(high)g, dry: the grip is the less by as much."
            )
            % {"given": row["friction_coefficient"], "low": low, "high": high},
        )
    if any(check.unit == "Pa" and not check.passed for check in checks):
        yield Warned(
            "yields",
            _(
                "A metal yields here: the figures are those of an elastic fit, and the real grip "
                "is less."
            ),
        )


def _alike(rows: Sequence[Values]) -> list[Answer]:
    sleeve = press_fit_material(rows[0]["sleeve_material"])
    shaft = press_fit_material(rows[0]["shaft_material"], "shaft_material")
    grip = press_fit(
        interface_diameter=column(rows, "interface_diameter"),
        sleeve_outer_diameter=column(rows, "sleeve_outer_diameter"),
        length=column(rows, "length"),
        interference=column(rows, "interference"),
        shaft_inner_diameter=column(rows, "shaft_inner_diameter"),
        friction_coefficient=column(rows, "friction_coefficient"),
        assembly_clearance=column(rows, "assembly_clearance"),
        sleeve_material=sleeve,
        shaft_material=shaft,
    )
    answers = []
    for place in range(len(rows)):
        checks = press_fit_checks(grip, (place,), sleeve_material=sleeve, shaft_material=shaft)
        values = {
            out.name: float(getattr(grip, out.name)[place])
            for out in _ANSWERS
            if isinstance(out, QuantityOut)
        }
        warned = tuple(_warnings(rows[place], frozenset({sleeve, shaft}), checks))
        answers.append(Answer(values | {"checks": told(checks)}, warned))
    return answers


def _compute(rows: Sequence[Values]) -> list[Answer]:
    return by_kind(rows, lambda row: (row["sleeve_material"], row["shaft_material"]), _alike)


PRESS_FIT = Calculator(
    name="press-fit",
    version="1",
    summary="Pressure, stress and grip of a sleeve on a shaft, and how warm it goes on by hand.",
    takes=Shape(fields=_FIELDS, checks=(_diameters_follow,)),
    answers=_ANSWERS,
    sources=(
        (
            "G. Lame, thick cylinders, in machine-design textbooks (read in a worked example, "
            "computed independently)"
        ),
        METAL_SOURCE,
        FRICTION_SOURCE,
    ),
    compute=_compute,
    example={
        "interface_diameter": "50 mm",
        "sleeve_outer_diameter": "80 mm",
        "length": "40 mm",
        "interference": "0.04 mm",
        "sleeve_material": "steel",
        "shaft_material": "steel",
        "assembly_clearance": "0.02 mm",
    },
)
