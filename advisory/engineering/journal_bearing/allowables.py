"""What a journal bearing is allowed: film, temperature, load, clearance, each with its source."""

from __future__ import annotations

import math

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.journal_bearing.outcome import FilmOutcome
from advisory.engineering.journal_bearing.performance import BearingPerformance
from advisory.engineering.limit_check import LimitCheck
from advisory.engineering.metals import ALLOWABLES, ISO_7902_3, BearingMaterial

TRUMPLER = (
    "P. R. Trumpler, Design of Film Bearings, Macmillan 1966, as in Shigley's Mechanical "
    "Engineering Design, section 12-14 (read in two open-source programs after it)"
)
TRUMPLER_TEMPERATURE_C = 121.0
TRUMPLER_STARTING_LOAD = 2.07e6

FULL_FILM_RATIO = 3.0
BOUNDARY_FILM_RATIO = 1.0
FILM_RATIO_SOURCE = (
    "Film ratio above 3 full film, 1 to 3 mixed, below 1 boundary: tribology textbooks (read)"
)

BEARING_TEMPERATURE_C = {True: (100.0, 115.0), False: (90.0, 110.0)}
"""Bearing temperature, normal and exceptional, with and without forced oil: ISO 7902-3 [degC]."""

CLEARANCE_RATIO_RANGE = (0.75e-3, 1.5e-3)
CLEARANCE_SOURCE = (
    "Running clearance of white metal, 0.00075 to 0.0015 of the diameter "
    "(common practice, no source)"
)

LAMINAR_FILM = 41.2
LAMINAR_SOURCE = (
    "G. I. Taylor, Phil. Trans. R. Soc. A 223 (1923) 289-343: the film is laminar below "
    "rho U c/mu = 41.2 sqrt(R/c) (from memory)"
)

_FILM_DIAMETERS = np.array([0.024, 0.063, 0.160, 0.400])
_FILM_SPEEDS = np.array([1.0, 3.0, 10.0, 30.0])
_FILM_LIMITS = 1e-6 * np.array(
    [
        [3.0, 4.0, 5.0, 7.0, 10.0],
        [4.0, 5.0, 7.0, 9.0, 12.0],
        [6.0, 7.0, 9.0, 11.0, 14.0],
    ]
)


def film_ratio(minimum_film_thickness: Floats, surface_roughness: Floats) -> FloatArray:
    """Least film over the combined roughness of both surfaces.

    Parameters
    ----------
    minimum_film_thickness : float or ndarray
        NaN where no film carries, and the ratio with it [m].
    surface_roughness : float or ndarray
        Combined rms, sqrt(Rq1^2 + Rq2^2) [m].

    Returns
    -------
    ndarray
        [-]; above 3 full film, 1 to 3 mixed, below 1 boundary lubrication.

    Raises
    ------
    OutOfRange
        For a roughness that is not positive.

    References
    ----------
    Lambda ratio of tribology textbooks (read).

    Examples
    --------
    >>> round(float(film_ratio(6e-6, 0.8e-6)), 6)
    7.5
    """
    roughness = require("surface_roughness", surface_roughness, above=0.0, unit="m")
    return np.asarray(np.asarray(minimum_film_thickness, dtype=np.float64) / roughness)


def film_limit_trumpler(diameter: Floats) -> FloatArray:
    """Least film by Trumpler's rule, 0.00508 mm + 0.00004 D.

    Parameters
    ----------
    diameter : float or ndarray
        Of the journal [m].

    Returns
    -------
    ndarray
        [m].

    Raises
    ------
    OutOfRange
        For a diameter that is not positive.

    References
    ----------
    P. R. Trumpler, Design of Film Bearings, Macmillan 1966, in machine-design textbooks as
    h0 >= 0.00020 + 0.00004 D in inches (read in two open-source programs after them).

    Examples
    --------
    >>> round(float(film_limit_trumpler(0.038)) * 1e6, 2)
    6.6
    """
    return 5.08e-6 + 4e-5 * require("diameter", diameter, above=0.0, unit="m")


def film_limit_iso(diameter: Floats, sliding_speed: Floats) -> FloatArray:
    """Least film by ISO 7902-3, for journals of 24 to 400 mm.

    Parameters
    ----------
    diameter : float or ndarray
        Of the journal [m].
    sliding_speed : float or ndarray
        Of its surface [m/s].

    Returns
    -------
    ndarray
        [m]; NaN below 24 mm and above 400 mm, for which the table says nothing.

    Raises
    ------
    OutOfRange
        For a diameter or a speed that is not positive.

    References
    ----------
    ISO 7902-3 / DIN 31652-3, table of the least permissible film thickness (from memory).

    Examples
    --------
    >>> [round(h * 1e6, 1) for h in film_limit_iso([0.05, 0.1], 5.0).tolist()]
    [5.0, 7.0]
    """
    d, speed = np.broadcast_arrays(
        require("diameter", diameter, above=0.0, unit="m"),
        require("sliding_speed", sliding_speed, above=0.0, unit="m/s"),
    )
    # A journal on the border of two ranges takes the smaller one's row, as does a speed.
    row = np.searchsorted(_FILM_DIAMETERS * (1.0 + 1e-12), d) - 1
    row = np.where(np.isclose(d, _FILM_DIAMETERS[0], rtol=1e-12), 0, row)
    column = np.searchsorted(_FILM_SPEEDS * (1.0 + 1e-12), speed)
    known = (row >= 0) & (row < len(_FILM_LIMITS))
    limit = _FILM_LIMITS[np.clip(row, 0, len(_FILM_LIMITS) - 1), column]
    return np.where(known, limit, np.nan)


def bearing_checks(
    bearing: BearingPerformance,
    index: tuple[int, ...] = (),
    *,
    surface_roughness: float | None = None,
    material: BearingMaterial | None = None,
    forced_oil: bool = True,
    density: float | None = None,
) -> list[LimitCheck]:
    """Hold one bearing against its allowables.

    Parameters
    ----------
    bearing : BearingPerformance
        What it does.
    index : tuple of int
        Which of many bearings; left out for one.
    surface_roughness : float, optional
        Combined rms; without it the film is not held against roughness [m].
    material : BearingMaterial, optional
        Of the bearing; without it load and clearance are not held against the metal.
    forced_oil : bool
        Whether oil is forced through the bearing, which allows it a higher temperature.
    density : float, optional
        Of the oil; without it the film is not held against turbulence [kg/m3].

    Returns
    -------
    list of LimitCheck
        Where metal touches or the temperature runs away, those of film and temperature have no
        value and fail; where the load is too light for the table, they are left out, as the film
        is not in doubt.

    Raises
    ------
    OutOfRange
        For a roughness that is not positive.

    Examples
    --------
    >>> from advisory.engineering.journal_bearing.performance import load_solution
    >>> bearing = load_solution(
    ...     diameter=0.05,
    ...     length=0.05,
    ...     running_clearance=0.0001,
    ...     speed=1490 / 60,
    ...     load=3200.0,
    ...     viscosity=0.025,
    ... )
    >>> for check in bearing_checks(bearing, surface_roughness=1e-6):
    ...     print(check.name, check.passed)
    minimum film thickness (Trumpler) True
    minimum film thickness (ISO 7902-3) True
    film ratio True
    """
    checks: list[LimitCheck] = []
    outcome = FilmOutcome(int(bearing.outcome[index]))
    if outcome != FilmOutcome.LIGHTLY_LOADED:
        checks += _film_checks(bearing, index, surface_roughness)
        checks += _temperature_checks(bearing, index, forced_oil=forced_oil)
        if density is not None:
            checks.append(_laminar_check(bearing, index, density))
    if material is not None:
        checks += _metal_checks(bearing, index, material)
    return checks


def _film_checks(
    bearing: BearingPerformance, index: tuple[int, ...], surface_roughness: float | None
) -> list[LimitCheck]:
    diameter = float(bearing.case.diameter[index])
    film = float(bearing.minimum_film_thickness[index])
    value = None if math.isnan(film) else film
    name = "minimum film thickness"
    checks = [
        LimitCheck(
            f"{name} (Trumpler)",
            value,
            float(film_limit_trumpler(diameter)),
            "at least",
            "m",
            TRUMPLER,
        )
    ]
    iso = float(film_limit_iso(diameter, float(bearing.case.sliding_speed[index])))
    if not math.isnan(iso):
        checks.append(LimitCheck(f"{name} (ISO 7902-3)", value, iso, "at least", "m", ISO_7902_3))
    if surface_roughness is not None:
        ratio = float(film_ratio(film, surface_roughness))
        checks.append(
            LimitCheck(
                "film ratio",
                None if math.isnan(ratio) else ratio,
                FULL_FILM_RATIO,
                "at least",
                "",
                FILM_RATIO_SOURCE,
            )
        )
    return checks


def _temperature_checks(
    bearing: BearingPerformance, index: tuple[int, ...], *, forced_oil: bool
) -> list[LimitCheck]:
    if bearing.film_temperature_c is None or bearing.temperature_rise is None:
        return []
    film = float(bearing.film_temperature_c[index])
    # With forced oil the bearing is at the outlet temperature (ISO 7902-1, from memory): half
    # the rise above the mean of the film. By the housing, film and bearing are as warm.
    hottest = film + (0.5 * float(bearing.temperature_rise[index]) if forced_oil else 0.0)
    missing = math.isnan(film)
    return [
        LimitCheck(
            "film temperature",
            None if missing else film,
            TRUMPLER_TEMPERATURE_C,
            "at most",
            "degC",
            TRUMPLER,
        ),
        LimitCheck(
            "outlet temperature" if forced_oil else "bearing temperature",
            None if missing else hottest,
            BEARING_TEMPERATURE_C[forced_oil][0],
            "at most",
            "degC",
            ISO_7902_3,
        ),
    ]


def _laminar_check(
    bearing: BearingPerformance, index: tuple[int, ...], density: float
) -> LimitCheck:
    case = bearing.case
    speed = float(case.sliding_speed[index])
    clearance = float(case.radial_clearance[index])
    viscosity = float(bearing.dynamic_viscosity[index])
    return LimitCheck(
        "Reynolds number of the film",
        None if math.isnan(viscosity) else density * speed * clearance / viscosity,
        LAMINAR_FILM * math.sqrt(float(case.clearance_ratio[index])),
        "at most",
        "",
        LAMINAR_SOURCE,
    )


def _metal_checks(
    bearing: BearingPerformance, index: tuple[int, ...], material: BearingMaterial
) -> list[LimitCheck]:
    checks = [
        LimitCheck(
            "unit load",
            float(bearing.unit_load[index]),
            ALLOWABLES[material].unit_load,
            "at most",
            "Pa",
            ISO_7902_3,
        )
    ]
    if material is not BearingMaterial.BRONZE:
        clearance = 1.0 / float(bearing.case.clearance_ratio[index])
        low, high = CLEARANCE_RATIO_RANGE
        name = "running clearance over diameter"
        checks += [
            LimitCheck(name, clearance, low, "at least", "", CLEARANCE_SOURCE),
            LimitCheck(name, clearance, high, "at most", "", CLEARANCE_SOURCE),
        ]
    return checks
