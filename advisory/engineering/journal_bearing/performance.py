"""The load solution: what a bearing does under its load, with the film's viscosity known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.journal_bearing.case import BearingCase, bearing_case
from advisory.engineering.journal_bearing.outcome import FilmOutcome
from advisory.engineering.journal_bearing.settling import Excess, Settled, settle
from advisory.engineering.journal_bearing.table import FilmFigures, Heat, film_table


@dataclass(frozen=True)
class BearingPerformance:
    """What bearings do under their loads; every array of one shape.

    Where `outcome` is not `FilmOutcome.CARRIED` there is no figure: NaN in all but `unit_load`,
    and the outcome's reason in words.

    Parameters
    ----------
    case : BearingCase
        The bearings.
    outcome : ndarray of int
        A `FilmOutcome` each.
    sommerfeld_number : ndarray
        (R/c)^2 mu N / P, N in rev/s, c the radial clearance [-].
    eccentricity_ratio : ndarray
        Distance of the centres over radial clearance [-].
    minimum_film_thickness : ndarray
        [m].
    attitude_angle : ndarray
        From the load line to the line of centres [rad].
    friction_coefficient, friction_variable : ndarray
        f, and (R/c) f [-].
    friction_power : ndarray
        [W].
    flow, flow_variable : ndarray
        Q, drawn round at the widest gap [m3/s], and Q/(R c N L) [-].
    side_flow_ratio : ndarray
        Share of Q that leaves at the two ends [-].
    maximum_pressure, unit_load : ndarray
        [Pa].
    pressure_ratio : ndarray
        Unit load over maximum pressure [-].
    dynamic_viscosity : ndarray
        Of the film [Pa s].
    film_temperature_c : ndarray or None
        None where the viscosity was given [degC].
    temperature_rise : ndarray or None
        From supply to outlet with cooling by the oil, over ambient with cooling by the housing;
        None where the viscosity was given [K].
    """

    case: BearingCase
    outcome: NDArray[np.int8]
    sommerfeld_number: FloatArray
    eccentricity_ratio: FloatArray
    minimum_film_thickness: FloatArray
    attitude_angle: FloatArray
    friction_coefficient: FloatArray
    friction_variable: FloatArray
    friction_power: FloatArray
    flow: FloatArray
    flow_variable: FloatArray
    side_flow_ratio: FloatArray
    maximum_pressure: FloatArray
    unit_load: FloatArray
    pressure_ratio: FloatArray
    dynamic_viscosity: FloatArray
    film_temperature_c: FloatArray | None = None
    temperature_rise: FloatArray | None = None

    @property
    def carried(self) -> NDArray[np.bool_]:
        """Where a film carries the load."""
        return np.asarray(self.outcome == FilmOutcome.CARRIED)

    def reason(self, index: tuple[int, ...] = ()) -> str:
        """Say why one bearing has no figures; empty where it has."""
        return FilmOutcome(int(self.outcome[index])).reason


def load_solution(
    *,
    diameter: Floats,
    length: Floats,
    running_clearance: Floats,
    speed: Floats,
    load: Floats,
    viscosity: Floats,
) -> BearingPerformance:
    """Find where journals settle under steady loads, with the film's viscosity known.

    Parameters
    ----------
    diameter, length, running_clearance, speed, load : float or ndarray
        As in `BearingCase`: the clearance is diametral, the speed in rev/s.
    viscosity : float or ndarray
        Dynamic, of the film [Pa s].

    Returns
    -------
    BearingPerformance
        Of the shape to which the arguments broadcast.

    Raises
    ------
    OutOfRange
        As in `bearing_case`.

    References
    ----------
    Reynolds' equation for the full bearing, supplied at the widest gap, with the rupture of Swift
    and Stieber (`advisory.engineering.journal_bearing.reynolds`), read from the kept table:
    eccentricity ratio 0.01 to 0.99, length 0.1 to 2 diameters.

    Examples
    --------
    A textbook's bearing (3.2 kN, 50 mm by 50 mm, radial clearance 0.05 mm, 1490 rpm, 25 mPa s):

    >>> bearing = load_solution(
    ...     diameter=0.05,
    ...     length=0.05,
    ...     running_clearance=0.0001,
    ...     speed=1490 / 60,
    ...     load=3200.0,
    ...     viscosity=0.025,
    ... )
    >>> round(float(bearing.minimum_film_thickness) * 1e6, 1), round(float(bearing.friction_power))
    (20.0, 80)
    """
    case, (mu,) = bearing_case(
        diameter,
        length,
        running_clearance,
        speed,
        load,
        require("viscosity", viscosity, above=0.0, unit="Pa s"),
    )
    goal = np.log(mu * case.speed * case.clearance_ratio**2 / case.unit_load).ravel()
    settled = settle_case(
        case, Heat.FRICTION, lambda part: lambda log_number, log_heat: log_number - goal[part]
    )
    return performance(case, settled, settled_film(case, settled), outcome_of(settled))


def settled_film(case: BearingCase, settled: Settled) -> FilmFigures:
    """Read the dimensionless figures of settled journals, of the shape of the case."""
    e = settled.eccentricity_ratio.reshape(case.diameter.shape)
    return film_table().figures(e, case.tabled_length)


def settle_case(case: BearingCase, heat: Heat, excess_of: Callable[[slice], Excess]) -> Settled:
    """Settle the journals of a case, see `settle`; the excess has one dimension."""
    return settle(case.tabled_length.ravel(), heat, excess_of)


def outcome_of(settled: Settled) -> NDArray[np.int8]:
    """Name what became of each journal, before any word on temperature.

    Parameters
    ----------
    settled : Settled
        From `settle`.

    Returns
    -------
    ndarray of int
        A `FilmOutcome` each.
    """
    outcome = np.full(settled.eccentricity_ratio.shape, FilmOutcome.CARRIED, dtype=np.int8)
    outcome[settled.beyond_thin] = FilmOutcome.METAL_CONTACT
    outcome[settled.beyond_thick] = FilmOutcome.LIGHTLY_LOADED
    return outcome


def performance(
    case: BearingCase,
    settled: Settled,
    film: FilmFigures,
    outcome: NDArray[np.int8],
    film_temperature_c: FloatArray | None = None,
    temperature_rise: FloatArray | None = None,
) -> BearingPerformance:
    """Work out all figures of settled journals, none where the film does not carry.

    Parameters
    ----------
    case : BearingCase
        The bearings.
    settled : Settled
        Where they settled, one dimension.
    film : FilmFigures
        From `settled_film`.
    outcome : ndarray of int
        A `FilmOutcome` each, one dimension.
    film_temperature_c, temperature_rise : ndarray
        Of the shape of the case [degC], [K].

    Returns
    -------
    BearingPerformance
    """
    shape = case.diameter.shape
    outcome = outcome.reshape(shape)
    carried = np.where(outcome == FilmOutcome.CARRIED, 1.0, np.nan)
    e = carried * settled.eccentricity_ratio.reshape(shape)
    clearance = case.radial_clearance
    number = carried * film.sommerfeld_number
    friction_variable = carried * film.friction_variable
    friction = friction_variable / case.clearance_ratio
    flow_variable = carried * film.flow_variable
    return BearingPerformance(
        case=case,
        outcome=outcome,
        sommerfeld_number=number,
        eccentricity_ratio=e,
        minimum_film_thickness=clearance * (1.0 - e),
        attitude_angle=carried * film.attitude_angle,
        friction_coefficient=friction,
        friction_variable=friction_variable,
        friction_power=friction * case.load * case.sliding_speed,
        flow=flow_variable * 0.5 * case.diameter * clearance * case.speed * case.length,
        flow_variable=flow_variable,
        side_flow_ratio=carried * film.side_flow_ratio,
        maximum_pressure=carried * case.unit_load / film.pressure_ratio,
        unit_load=case.unit_load,
        pressure_ratio=carried * film.pressure_ratio,
        dynamic_viscosity=number * case.unit_load / (case.speed * case.clearance_ratio**2),
        film_temperature_c=None if film_temperature_c is None else carried * film_temperature_c,
        temperature_rise=None if temperature_rise is None else carried * temperature_rise,
    )
