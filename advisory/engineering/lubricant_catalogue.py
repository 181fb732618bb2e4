"""The generic oils that a person can choose from when the can's data sheet is not at hand.

Every figure here is our own choice of a typical value: consistent with SAE J300, SAE J306 and ISO
3448 and with a viscosity index of 92 to 106 for the straight oils, but no product's data sheet.
Whoever knows what is in the can enters its data sheet instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from advisory.engineering.viscosity import Oil

#: How the figures of this catalogue are marked wherever they are shown.
SOURCE = "typical values, chosen for this catalogue; no product's data sheet"

Kind = Literal["engine", "industrial", "gear"]


@dataclass(frozen=True, kw_only=True)
class Lubricant:
    """A generic oil of the catalogue.

    Parameters
    ----------
    code : str
        Its short name, which programs use.
    name : str
        Its name in the trade.
    kind : {"engine", "industrial", "gear"}
        What it is sold for.
    oil : Oil
        Its typical figures.
    detergent : bool
        It keeps dirt afloat: good with a filter, and it can loosen old deposits.
    extreme_pressure : bool
        It has additives for hypoid and other highly loaded gears.
    active_sulphur_possible : bool
        Its additives may attack bronze and brass when warm, unless its data sheet says otherwise.
    multigrade : bool
        It is thickened by polymers, which shear: in a film it is thinner than computed.
    """

    code: str
    name: str
    kind: Kind
    oil: Oil
    detergent: bool = False
    extreme_pressure: bool = False
    active_sulphur_possible: bool = False
    multigrade: bool = False


def _oil(viscosity_40: float, viscosity_100: float, density_15: float) -> Oil:
    return Oil(
        kinematic_viscosity_40=viscosity_40 * 1e-6,
        kinematic_viscosity_100=viscosity_100 * 1e-6,
        density_15=density_15,
    )


_GEAR_90 = _oil(177, 16.2, 898)
_GEAR_140 = _oil(385, 26.5, 908)

_ENGINE = (
    Lubricant(code="sae-10", name="SAE 10", kind="engine", oil=_oil(37, 6.0, 870)),
    Lubricant(code="sae-20", name="SAE 20", kind="engine", oil=_oil(66, 8.4, 880)),
    Lubricant(code="sae-30", name="SAE 30", kind="engine", oil=_oil(100, 11.2, 886)),
    Lubricant(code="sae-40", name="SAE 40", kind="engine", oil=_oil(148, 14.5, 890)),
    Lubricant(code="sae-50", name="SAE 50", kind="engine", oil=_oil(222, 19.0, 895)),
    Lubricant(code="sae-60", name="SAE 60", kind="engine", oil=_oil(320, 24.0, 900)),
    Lubricant(
        code="10w-30",
        name="SAE 10W-30",
        kind="engine",
        oil=_oil(70, 10.8, 875),
        detergent=True,
        multigrade=True,
    ),
    Lubricant(
        code="20w-50",
        name="SAE 20W-50",
        kind="engine",
        oil=_oil(165, 18.5, 888),
        detergent=True,
        multigrade=True,
    ),
)

_INDUSTRIAL = tuple(
    Lubricant(
        code=f"iso-vg-{grade}", name=f"ISO VG {grade}", kind="industrial", oil=_oil(grade, *figures)
    )
    for grade, figures in {
        32: (5.4, 868),
        46: (6.8, 873),
        68: (8.7, 878),
        100: (11.2, 884),
        150: (14.6, 889),
        220: (18.9, 893),
        320: (24.0, 898),
        460: (30.3, 903),
    }.items()
)

# A gear oil of which nothing more is known is taken to be one with additives: near bronze that is
# the careful side.
_GEAR = (
    Lubricant(
        code="gear-90",
        name="SAE 90 gear oil",
        kind="gear",
        oil=_GEAR_90,
        extreme_pressure=True,
        active_sulphur_possible=True,
    ),
    Lubricant(
        code="gear-140",
        name="SAE 140 gear oil",
        kind="gear",
        oil=_GEAR_140,
        extreme_pressure=True,
        active_sulphur_possible=True,
    ),
    Lubricant(
        code="gear-90-straight", name="SAE 90 straight mineral gear oil", kind="gear", oil=_GEAR_90
    ),
    Lubricant(
        code="gear-140-straight",
        name="SAE 140 straight mineral gear oil",
        kind="gear",
        oil=_GEAR_140,
    ),
)

#: The catalogue by code, thinnest first within each kind.
LUBRICANTS: Mapping[str, Lubricant] = MappingProxyType(
    {lubricant.code: lubricant for lubricant in (*_ENGINE, *_INDUSTRIAL, *_GEAR)}
)


def lubricant(code: str) -> Lubricant:
    """Look up a generic oil by its code.

    Parameters
    ----------
    code : str
        Code of the catalogue, such as "sae-30".

    Returns
    -------
    Lubricant
        The generic oil.

    Raises
    ------
    KeyError
        If the catalogue has no such code.

    References
    ----------
    None: see ``SOURCE``.

    Examples
    --------
    >>> lubricant("iso-vg-100").name
    'ISO VG 100'
    """
    return LUBRICANTS[code]
