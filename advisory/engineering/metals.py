"""Bearing metals: white metals and bronzes, what they bear and when they melt."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from advisory.engineering.errors import OutOfRange

B23_SOURCE = "ASTM B23, Standard Specification for White Metal Bearing Alloys, appendix"
ISO_7902_3 = (
    "ISO 7902-3, Hydrodynamic plain journal bearings under steady-state conditions, Permissible "
    "operational parameters (from memory)"
)
DATA_HANDBOOK = "Mechanical Engineer's Data Handbook, bearings chapter (read)"

SOFTENING_TEMPERATURE_C = 149.0
"""Softening limit of white metals (read in a summary of bearing metals) [degC]."""

ALARM_TEMPERATURE_C = (110.0, 120.0)
"""Metal temperature at which a machine is watched (common practice, no source) [degC]."""

STOP_TEMPERATURE_C = 130.0
"""Metal temperature at which a machine is stopped (common practice, no source) [degC]."""


class BearingMaterial(Enum):
    """Kinds of bearing metal for which allowables are known here."""

    TIN_WHITE_METAL = "tin white metal"
    LEAD_WHITE_METAL = "lead white metal"
    BRONZE = "bronze"


@dataclass(frozen=True)
class BearingAllowable:
    """What a kind of bearing metal bears under a steady load.

    Parameters
    ----------
    unit_load : float
        Load over projected area in normal running, ISO 7902-3 [Pa].
    exceptional_unit_load : float
        Likewise in exceptional cases, each to be decided by itself [Pa].
    steady_range : tuple of float or None
        Range of a handbook for steady loads [Pa].
    pressure_velocity : float or None
        Pressure times sliding speed on steel, boundary lubrication [Pa m/s].
    """

    unit_load: float
    exceptional_unit_load: float
    steady_range: tuple[float, float] | None
    pressure_velocity: float | None


PRESSURE_VELOCITY_SOURCE = (
    "Boundary lubrication on steel: R. L. Mott, Machine Elements in Mechanical Design, table 16-1, "
    "white metal of 89 % tin 30 000 psi ft/min, of 10 % tin 18 000, porous bronze 50 000 (read in "
    "a reproduction); cast bronzes stand half as much again there, which is not counted on here"
)

ALLOWABLES: dict[BearingMaterial, BearingAllowable] = {
    BearingMaterial.TIN_WHITE_METAL: BearingAllowable(5e6, 15e6, (5.5e6, 10.3e6), 1.05e6),
    BearingMaterial.LEAD_WHITE_METAL: BearingAllowable(5e6, 15e6, (5.5e6, 8.0e6), 0.63e6),
    # Tin bronze 7 (25) MPa, leaded bronze 7 (20): the lesser stands for both.
    BearingMaterial.BRONZE: BearingAllowable(7e6, 20e6, None, 1.75e6),
}
"""Unit loads: ISO 7902-3 (from memory); steady ranges: `DATA_HANDBOOK`; p v: see its source."""


def bearing_material(name: str) -> BearingMaterial:
    """Find a kind of bearing metal by its name.

    Parameters
    ----------
    name : str
        "tin white metal", "lead white metal" or "bronze".

    Returns
    -------
    BearingMaterial

    Raises
    ------
    OutOfRange
        For any other name.

    Examples
    --------
    >>> bearing_material("bronze")
    <BearingMaterial.BRONZE: 'bronze'>
    """
    try:
        return BearingMaterial(name)
    except ValueError:
        known = ", ".join(f'"{material.value}"' for material in BearingMaterial)
        raise OutOfRange("material", f"one of {known}", name) from None


@dataclass(frozen=True)
class WhiteMetal:
    """A white metal of ASTM B23.

    Parameters
    ----------
    alloy : str
        Its number in ASTM B23.
    uns : str
        Its number in the unified system.
    base : BearingMaterial
        Tin or lead white metal.
    tin, antimony, copper, arsenic, lead : tuple of float or None
        Share of mass, from and to [%]; None where it is the rest or is not specified.
    solidus_c : float or None
        Temperature at which melting starts [degC].
    liquidus_c : float or None
        Temperature at which it is all molten, from memory [degC].
    pouring_c : float or None
        Proper pouring temperature [degC].
    yield_20, yield_100 : float or None
        Yield point in compression at 20 and at 100 degC [Pa].
    brinell_20, brinell_100 : float or None
        Hardness at 20 and at 100 degC, from memory.
    """

    alloy: str
    uns: str
    base: BearingMaterial
    tin: tuple[float, float]
    antimony: tuple[float, float]
    copper: tuple[float, float]
    arsenic: tuple[float, float] | None
    lead: tuple[float, float] | None
    solidus_c: float | None = None
    liquidus_c: float | None = None
    pouring_c: float | None = None
    yield_20: float | None = None
    yield_100: float | None = None
    brinell_20: float | None = None
    brinell_100: float | None = None


_TIN, _LEAD = BearingMaterial.TIN_WHITE_METAL, BearingMaterial.LEAD_WHITE_METAL

# Composition, yield point and start of melting were read in a reproduction of the standard;
# liquidus and hardness, and the solidus of alloy 15, are from memory. The table that was read
# gives alloy 11 lead to 0.35 %, memory 0.50 %: the stricter stands here.
WHITE_METALS: dict[str, WhiteMetal] = {
    metal.alloy: metal
    for metal in (
        WhiteMetal(
            alloy="1",
            uns="L13910",
            base=_TIN,
            tin=(90.0, 92.0),
            antimony=(4.0, 5.0),
            copper=(4.0, 5.0),
            arsenic=None,
            lead=(0.0, 0.35),
            solidus_c=223.0,
            liquidus_c=371.0,
            pouring_c=441.0,
            yield_20=30.3e6,
            yield_100=18.3e6,
            brinell_20=17.0,
            brinell_100=8.0,
        ),
        WhiteMetal(
            alloy="2",
            uns="L13890",
            base=_TIN,
            tin=(88.0, 90.0),
            antimony=(7.0, 8.0),
            copper=(3.0, 4.0),
            arsenic=None,
            lead=(0.0, 0.35),
            solidus_c=241.0,
            liquidus_c=354.0,
            pouring_c=424.0,
            yield_20=42.0e6,
            yield_100=20.6e6,
            brinell_20=24.5,
            brinell_100=12.0,
        ),
        WhiteMetal(
            alloy="3",
            uns="L13840",
            base=_TIN,
            tin=(83.0, 85.0),
            antimony=(7.5, 8.5),
            copper=(7.5, 8.5),
            arsenic=None,
            lead=(0.0, 0.35),
            solidus_c=240.0,
            liquidus_c=422.0,
            pouring_c=491.0,
            yield_20=45.5e6,
            yield_100=21.7e6,
            brinell_20=27.0,
            brinell_100=14.5,
        ),
        WhiteMetal(
            alloy="11",
            uns="L13870",
            base=_TIN,
            tin=(86.0, 89.0),
            antimony=(6.0, 7.5),
            copper=(5.0, 6.5),
            arsenic=None,
            lead=(0.0, 0.35),
        ),
        WhiteMetal(
            alloy="7",
            uns="L53585",
            base=_LEAD,
            tin=(9.3, 10.7),
            antimony=(14.0, 16.0),
            copper=(0.0, 0.5),
            arsenic=(0.3, 0.6),
            lead=None,
            solidus_c=240.0,
            liquidus_c=268.0,
            pouring_c=338.0,
            yield_20=24.5e6,
            yield_100=11.0e6,
            brinell_20=22.5,
            brinell_100=10.5,
        ),
        WhiteMetal(
            alloy="8",
            uns="L53565",
            base=_LEAD,
            tin=(4.5, 5.5),
            antimony=(14.0, 16.0),
            copper=(0.0, 0.5),
            arsenic=(0.3, 0.6),
            lead=None,
            solidus_c=237.0,
            liquidus_c=272.0,
            pouring_c=341.0,
            yield_20=23.4e6,
            yield_100=12.1e6,
            brinell_20=20.0,
            brinell_100=9.5,
        ),
        WhiteMetal(
            alloy="13",
            uns="L53346",
            base=_LEAD,
            tin=(5.5, 6.5),
            antimony=(9.5, 10.5),
            copper=(0.0, 0.5),
            arsenic=(0.0, 0.25),
            lead=None,
        ),
        WhiteMetal(
            alloy="15",
            uns="L53620",
            base=_LEAD,
            tin=(0.8, 1.2),
            antimony=(14.5, 17.5),
            copper=(0.0, 0.6),
            arsenic=(0.8, 1.4),
            lead=None,
            solidus_c=248.0,
            liquidus_c=281.0,
            brinell_20=21.0,
            brinell_100=13.0,
        ),
    )
}


def yield_point(alloy: str, temperature_c: float) -> float:
    """Yield point of a white metal in compression, between 20 and 100 degC by a straight line.

    Parameters
    ----------
    alloy : str
        Number in ASTM B23, one of those with a yield point: 1, 2, 3, 7 or 8.
    temperature_c : float
        20 to 100 [degC].

    Returns
    -------
    float
        [Pa].

    Raises
    ------
    OutOfRange
        For an alloy without a yield point here, or a temperature beyond the two measured ones.

    References
    ----------
    ASTM B23, appendix, compressive yield point at 0.125 % of gauge length (read in a
    reproduction). The straight line between is ours.

    Examples
    --------
    >>> yield_point("2", 60.0) / 1e6
    31.3
    """
    metal = WHITE_METALS.get(alloy)
    if metal is None or metal.yield_20 is None or metal.yield_100 is None:
        known = ", ".join(m.alloy for m in WHITE_METALS.values() if m.yield_20 is not None)
        raise OutOfRange("alloy", f"one of {known}", alloy)
    if not 20.0 <= temperature_c <= 100.0:
        raise OutOfRange("temperature_c", "20 to 100 degC", temperature_c)
    share = (temperature_c - 20.0) / 80.0
    return metal.yield_20 + share * (metal.yield_100 - metal.yield_20)
