"""Oils, between rows and the engineering of viscosity and grades."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from advisory.engineering import lubricant_catalogue
from advisory.engineering.oil_grades import (
    iso_viscosity_grade,
    sae_engine_grades,
    sae_gear_grade,
)
from advisory.engineering.viscosity import Oil, viscosity_index
from advisory.lubrication.enums import OilFamily
from advisory.lubrication.models import Lubricant


@dataclass(frozen=True)
class CatalogueOil:
    """A generic oil, with the figures that a row holds."""

    code: str
    name: str
    family: OilFamily
    kinematic_viscosity_40: float
    kinematic_viscosity_100: float
    density_15: float
    detergent: bool
    extreme_pressure: bool
    active_sulphur: bool
    multigrade: bool


def catalogue() -> list[CatalogueOil]:
    """Return the generic oils."""
    return [
        CatalogueOil(
            code=oil.code,
            name=oil.name,
            family=OilFamily(oil.kind),
            kinematic_viscosity_40=float(oil.oil.kinematic_viscosity_40),
            kinematic_viscosity_100=float(oil.oil.kinematic_viscosity_100),
            density_15=float(oil.oil.density_15),
            detergent=oil.detergent,
            extreme_pressure=oil.extreme_pressure,
            active_sulphur=oil.active_sulphur_possible,
            multigrade=oil.multigrade,
        )
        for oil in lubricant_catalogue.LUBRICANTS.values()
    ]


def viscosity_index_of(viscosity_40: float, viscosity_100: float) -> float:
    """Return the viscosity index of an oil, from its two viscosities in m2/s."""
    oil = Oil(kinematic_viscosity_40=viscosity_40, kinematic_viscosity_100=viscosity_100)
    return float(viscosity_index(oil))


def grades_of(lubricant: Lubricant) -> Sequence[str]:
    """Name the grades that an oil's viscosities make: of the engine, of gears, of ISO."""
    return grades_made(lubricant.kinematic_viscosity_40, lubricant.kinematic_viscosity_100)


def grades_made(viscosity_40: float, viscosity_100: float) -> Sequence[str]:
    """Name the grades that two viscosities in m2/s make."""
    engine = [f"SAE {grade}" for grade in sae_engine_grades(viscosity_100)]
    gear = sae_gear_grade(viscosity_100)
    iso = float(iso_viscosity_grade(viscosity_40))
    return [
        *engine,
        *([f"SAE {gear} gear"] if gear else []),
        *([] if np.isnan(iso) else [f"ISO VG {iso:g}"]),
    ]
