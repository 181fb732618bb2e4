"""How every calculator is told an oil: a code of the catalogue, or two viscosities."""

from collections.abc import Iterable, Sequence

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.calculation.bounds import Bounds
from advisory.common.calculation.fields import ChoiceField, Field, QuantityField, Values
from advisory.common.calculation.shape import Way
from advisory.common.problems import FieldError
from advisory.common.quantities import DENSITY, KINEMATIC_VISCOSITY
from advisory.engineering.lubricant_catalogue import LUBRICANTS, SOURCE
from advisory.engineering.viscosity import DENSITY_RANGE, VISCOSITY_RANGE, Oil

_VISCOSITIES = Bounds(at_least=VISCOSITY_RANGE[0] * 1e6, at_most=VISCOSITY_RANGE[1] * 1e6)

OIL_FIELDS: tuple[Field, ...] = (
    ChoiceField(
        name="lubricant",
        description="Code of a generic oil in the catalogue.",
        choices=tuple(LUBRICANTS),
        default=None,
    ),
    QuantityField(
        name="kinematic_viscosity_40",
        description="Kinematic viscosity at 40 degC, from the data sheet.",
        dimension=KINEMATIC_VISCOSITY,
        unit="mm2/s",
        bounds=_VISCOSITIES,
        default=None,
    ),
    QuantityField(
        name="kinematic_viscosity_100",
        description="Kinematic viscosity at 100 degC, from the data sheet.",
        dimension=KINEMATIC_VISCOSITY,
        unit="mm2/s",
        bounds=_VISCOSITIES,
        default=None,
    ),
    QuantityField(
        name="density_15",
        description="Density at 15 degC, from the data sheet.",
        dimension=DENSITY,
        unit="kg/m3",
        bounds=Bounds(at_least=DENSITY_RANGE[0], at_most=DENSITY_RANGE[1]),
        default="880 kg/m3",
    ),
)

_PAIR = ("kinematic_viscosity_40", "kinematic_viscosity_100")


def oil_ways(needs: tuple[str, ...] = (), allows: tuple[str, ...] = ()) -> tuple[Way, Way]:
    """Return the two ways of giving an oil, together with what else is needed or allowed there."""
    return (
        Way(("lubricant", *needs), allows),
        Way((*_PAIR, *needs), ("density_15", *allows)),
    )


def thins_with_heat(values: Values) -> Iterable[FieldError]:
    """Check that an oil is thinner at 100 degC than at 40 degC."""
    cold, hot = values["kinematic_viscosity_40"], values["kinematic_viscosity_100"]
    if cold is not None and hot is not None and not hot < cold:
        yield FieldError(
            "kinematic_viscosity_100",
            _("An oil is thinner at 100 degC than at 40 degC: were the two exchanged?"),
            "below kinematic_viscosity_40",
        )


def oil_of(values: Values) -> Oil:
    """Return the oil of one case."""
    if values["lubricant"] is not None:
        return LUBRICANTS[values["lubricant"]].oil
    return Oil(
        kinematic_viscosity_40=values["kinematic_viscosity_40"],
        kinematic_viscosity_100=values["kinematic_viscosity_100"],
        density_15=values["density_15"],
    )


def oils_of(rows: Sequence[Values]) -> Oil:
    """Return the oils of many cases as one, with arrays for its figures."""

    def figure(name: str) -> list[float]:
        return [
            row[name]
            if row["lubricant"] is None
            else getattr(LUBRICANTS[row["lubricant"]].oil, name)
            for row in rows
        ]

    return Oil(
        kinematic_viscosity_40=np.array(figure("kinematic_viscosity_40"), dtype=np.float64),
        kinematic_viscosity_100=np.array(figure("kinematic_viscosity_100"), dtype=np.float64),
        density_15=np.array(figure("density_15"), dtype=np.float64),
    )


def oil_sources(values: Values) -> tuple[str, ...]:
    """Return where the oil's figures come from, where they are ours."""
    code = values["lubricant"]
    return () if code is None else (f"Oil “{code}”: {SOURCE}",)
