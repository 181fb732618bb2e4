"""The film's temperature: the heat of friction against what oil or housing carries off.

The film is taken at one temperature, and its viscosity with it. With the oil's flow, side flow
leaves at the mean of supply and outlet and the rest at the outlet temperature, so that the film is
at the mean; by the housing, film and bearing are at one temperature. Journals are settled under
load and heat at once (`advisory.engineering.journal_bearing.settling`), which has one answer or
none, and says which.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.journal_bearing.case import BearingCase, bearing_case
from advisory.engineering.journal_bearing.film_oil import film_oil, oil_arguments
from advisory.engineering.journal_bearing.outcome import FilmOutcome
from advisory.engineering.journal_bearing.performance import (
    BearingPerformance,
    outcome_of,
    performance,
    settle_case,
    settled_film,
)
from advisory.engineering.journal_bearing.settling import Excess, Settled
from advisory.engineering.journal_bearing.table import Heat
from advisory.engineering.viscosity import TEMPERATURE_RANGE_C, Oil

MULTIGRADE_FACTOR = 0.9
"""What is left of a multigrade oil's viscosity at the shear of a film (from memory)."""

STILL_AIR_COEFFICIENT = 20.0
"""Heat transfer of a housing in still air, 15 to 20 W/m2/K (ISO 7902-1, from memory; 20 read in an
open-source program after DIN 31652) [W/m2/K]."""


def oil_flow_balance(
    *,
    diameter: Floats,
    length: Floats,
    running_clearance: Floats,
    speed: Floats,
    load: Floats,
    oil: Oil,
    supply_temperature_c: Floats,
    viscosity_factor: Floats = 1.0,
    heat_capacity: Floats | None = None,
) -> BearingPerformance:
    """Settle journals whose oil carries off the heat of friction.

    Parameters
    ----------
    diameter, length, running_clearance, speed, load : float or ndarray
        As in `advisory.engineering.journal_bearing.BearingCase`.
    oil : Oil
        The oil, or one for each bearing.
    supply_temperature_c : float or ndarray
        Of the oil that is drawn in, -40 to 150 [degC].
    viscosity_factor : float or ndarray
        Share of the oil's viscosity that is left in the film: `MULTIGRADE_FACTOR` for a multigrade
        oil, 1 for a straight one [-].
    heat_capacity : float or ndarray, optional
        Density times specific heat [J/m3/K]; of the oil at the film's temperature where left out.

    Returns
    -------
    BearingPerformance
        With the film's temperature, and the rise from supply to outlet.

    Raises
    ------
    OutOfRange
        For an argument out of range, see `bearing_case`.

    References
    ----------
    dT = 2 pi f W R N / (rho c_p Q (1 - Qs/(2 Q))), film at T_in + dT/2: A. A. Raimondi, J. Boyd,
    ASLE Transactions 1 (1958) 159-209, in the form of machine-design textbooks (read in an
    open-source program after Shigley's: 8.3 K/MPa P (R/c) f/[Q/(R c N L) (1 - Qs/(2 Q))]);
    ISO 7902-1, heat carried off by the lubricant (from memory). Viscosity by ASTM D341, density by
    API MPMS 11.1, specific heat by `specific_heat`.

    Examples
    --------
    >>> bearing = oil_flow_balance(
    ...     diameter=0.05,
    ...     length=0.03,
    ...     running_clearance=0.00005,
    ...     speed=50.0,
    ...     load=1500.0,
    ...     oil=Oil(kinematic_viscosity_40=100e-6, kinematic_viscosity_100=11.2e-6),
    ...     supply_temperature_c=60.0,
    ... )
    >>> round(float(bearing.film_temperature_c), 1)
    80.0
    """
    low, high = TEMPERATURE_RANGE_C
    case, shaped = bearing_case(
        diameter,
        length,
        running_clearance,
        speed,
        load,
        require(
            "supply_temperature_c",
            supply_temperature_c,
            at_least=low,
            at_most=high,
            unit="degC",
        ),
        *oil_arguments(oil, viscosity_factor, heat_capacity),
    )
    supply = shaped[0].ravel()
    oils = film_oil(shaped[1:])
    number_scale = _log_number_scale(case)
    heat_scale = (4.0 * np.pi * case.unit_load).ravel()

    def excess_of(part: slice) -> Excess:
        oil_part = oils.part(part)

        def excess(log_number: FloatArray, log_heat: FloatArray) -> FloatArray:
            rise = oil_part.rise(np.exp(log_heat) * heat_scale[part], supply[part])
            needed = log_number + number_scale[part]
            return np.asarray(needed - oil_part.log_viscosity(supply[part] + 0.5 * rise))

        return excess

    settled = settle_case(case, Heat.OIL_FLOW, excess_of)
    film = settled_film(case, settled)
    warmed = film.friction_variable / (film.flow_variable * (1.0 - 0.5 * film.side_flow_ratio))
    rise = oils.rise(warmed.ravel() * heat_scale, supply).reshape(case.diameter.shape)
    temperature = shaped[0] + 0.5 * rise
    unheated = number_scale + np.log(film.sommerfeld_number.ravel()) - oils.log_viscosity(supply)
    outcome = _outcome(settled, temperature.ravel(), unheated)
    return performance(case, settled, film, outcome, temperature, rise)


def housing_balance(
    *,
    diameter: Floats,
    length: Floats,
    running_clearance: Floats,
    speed: Floats,
    load: Floats,
    oil: Oil,
    ambient_temperature_c: Floats,
    housing_area: Floats,
    heat_transfer_coefficient: Floats = STILL_AIR_COEFFICIENT,
    viscosity_factor: Floats = 1.0,
) -> BearingPerformance:
    """Settle journals whose housing gives off the heat of friction to the air.

    Parameters
    ----------
    diameter, length, running_clearance, speed, load : float or ndarray
        As in `advisory.engineering.journal_bearing.BearingCase`.
    oil : Oil
        The oil, or one for each bearing.
    ambient_temperature_c : float or ndarray
        Of the air about the housing, -40 to 150 [degC].
    housing_area : float or ndarray
        That gives off heat [m2]; about 20 L D for a bearing in a machine's structure (ISO 7902-1,
        from memory).
    heat_transfer_coefficient : float or ndarray
        `STILL_AIR_COEFFICIENT` where left out; 7 + 12 sqrt(v) in air that moves at v above
        1.2 m/s (ISO 7902-1, from memory) [W/m2/K].
    viscosity_factor : float or ndarray
        As in `oil_flow_balance`.

    Returns
    -------
    BearingPerformance
        With the temperature of film and bearing, and its rise over ambient.

    Raises
    ------
    OutOfRange
        For an argument out of range, see `bearing_case`.

    References
    ----------
    ISO 7902-1, Hydrodynamic plain journal bearings under steady-state conditions, heat given off
    by the bearing housing: f W U = k_A A (T_B - T_amb), film and bearing at one temperature (read
    as a lecture gives DIN 31652-1: inggo.com, Maschinenelemente, Gleitlager, Waermebilanz).

    Examples
    --------
    >>> bearing = housing_balance(
    ...     diameter=0.05,
    ...     length=0.03,
    ...     running_clearance=0.00005,
    ...     speed=10.0,
    ...     load=1500.0,
    ...     oil=Oil(kinematic_viscosity_40=100e-6, kinematic_viscosity_100=11.2e-6),
    ...     ambient_temperature_c=30.0,
    ...     housing_area=0.03,
    ... )
    >>> round(float(bearing.film_temperature_c), 1)
    60.8
    """
    low, high = TEMPERATURE_RANGE_C
    case, shaped = bearing_case(
        diameter,
        length,
        running_clearance,
        speed,
        load,
        require(
            "ambient_temperature_c",
            ambient_temperature_c,
            at_least=low,
            at_most=high,
            unit="degC",
        ),
        require("housing_area", housing_area, above=0.0, unit="m2"),
        require("heat_transfer_coefficient", heat_transfer_coefficient, above=0.0, unit="W/m2/K"),
        *oil_arguments(oil, viscosity_factor, None),
    )
    ambient = shaped[0].ravel()
    oils = film_oil(shaped[3:])
    number_scale = _log_number_scale(case)
    friction_scale = case.load * case.sliding_speed / case.clearance_ratio
    scale = friction_scale / (shaped[1] * shaped[2])
    rise_scale = scale.ravel()

    def excess_of(part: slice) -> Excess:
        oil_part = oils.part(part)

        def excess(log_number: FloatArray, log_heat: FloatArray) -> FloatArray:
            temperature = ambient[part] + np.exp(log_heat) * rise_scale[part]
            needed = log_number + number_scale[part]
            return np.asarray(needed - oil_part.log_viscosity(temperature))

        return excess

    settled = settle_case(case, Heat.FRICTION, excess_of)
    film = settled_film(case, settled)
    rise = film.friction_variable * scale
    temperature = shaped[0] + rise
    unheated = number_scale + np.log(film.sommerfeld_number.ravel()) - oils.log_viscosity(ambient)
    outcome = _outcome(settled, temperature.ravel(), unheated)
    return performance(case, settled, film, outcome, temperature, rise)


def _outcome(
    settled: Settled, temperature_c: FloatArray, unheated_excess: FloatArray
) -> NDArray[np.int8]:
    """Name what became of each journal: hot beyond the oil's range is runaway.

    Not so where the load would press the journal to the end of the table with the oil as cool as
    it comes (`unheated_excess` above 0): that is metal contact, whatever the temperature.
    """
    outcome = outcome_of(settled)
    hot = temperature_c > TEMPERATURE_RANGE_C[1]
    outcome[hot & ~(settled.beyond_thin & (unheated_excess > 0.0))] = (
        FilmOutcome.TEMPERATURE_RUNAWAY
    )
    return outcome


def _log_number_scale(case: BearingCase) -> FloatArray:
    """Compute ln(mu/S): what turns ln S into ln of the viscosity that the load needs."""
    return np.asarray(np.log(case.unit_load / (case.speed * case.clearance_ratio**2)).ravel())
