"""The films of all bearings with all oils, at several temperatures and clearances at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray, Floats
from advisory.engineering.journal_bearing import (
    BearingPerformance,
    oil_flow_balance,
    specific_heat,
)
from advisory.engineering.journal_bearing.allowables import film_limit_iso, film_limit_trumpler
from advisory.engineering.journal_bearing.table_nodes import LENGTH_ENDS
from advisory.engineering.oil_choice.assumptions import assumed
from advisory.engineering.oil_choice.case import ChoiceBearing, ChoiceOil, OilChoiceCase, State
from advisory.engineering.viscosity import Oil, density


@dataclass(frozen=True)
class Films:
    """Films by clearance, temperature, oil and bearing, in this order of dimensions.

    Parameters
    ----------
    performance : BearingPerformance
        Of every one; what stands where `known` is False is of no bearing.
    known : ndarray of bool
        Where the bearing's clearance is known.
    film_ratio : ndarray
        Least film over combined roughness; NaN where no film carries [-].
    allowable_film : ndarray
        Of each bearing, one dimension [m].
    """

    performance: BearingPerformance
    known: NDArray[np.bool_]
    film_ratio: FloatArray
    allowable_film: FloatArray


def computable(bearing: ChoiceBearing) -> bool:
    """Say whether a bearing lies within the table of films at every clearance that is known.

    Parameters
    ----------
    bearing : ChoiceBearing
        With its clearances.

    Returns
    -------
    bool

    Examples
    --------
    >>> computable(
    ...     ChoiceBearing(
    ...         key="long", diameter=0.04, length=0.1, load=900.0, speed=40.0,
    ...         surface_roughness=8e-7, built=5e-5,
    ...     )
    ... )
    False
    """
    low, high = LENGTH_ENDS
    clearances = [c for c in (bearing.built, bearing.now, bearing.limit) if c is not None]
    positive = (
        bearing.diameter, bearing.length, bearing.load, bearing.speed, bearing.surface_roughness,
    )  # fmt: skip
    return (
        min((*positive, *clearances)) > 0.0
        and bool(clearances)
        and low <= bearing.length / bearing.diameter <= high
        and max(clearances) < 0.1 * bearing.diameter
    )


def allowable_film(diameter: Floats, sliding_speed: Floats) -> FloatArray:
    """Least film that is held to: the stricter of Trumpler's rule and ISO 7902-3.

    Parameters
    ----------
    diameter : float or ndarray
        Of the journal [m].
    sliding_speed : float or ndarray
        Of its surface [m/s].

    Returns
    -------
    ndarray
        [m].

    Raises
    ------
    OutOfRange
        For a diameter or a speed that is not positive.

    References
    ----------
    See `film_limit_trumpler` and `film_limit_iso`; that the stricter counts is ours.

    Examples
    --------
    >>> float(allowable_film(0.05, 5.0).round(8))
    7.08e-06
    """
    return np.fmax(film_limit_trumpler(diameter), film_limit_iso(diameter, sliding_speed))


def oils_together(oils: Sequence[ChoiceOil]) -> tuple[Oil, FloatArray]:
    """Bring oils together to one, as columns over bearings, with what is left of each in a film.

    Parameters
    ----------
    oils : sequence of ChoiceOil
        Which of them.

    Returns
    -------
    tuple of Oil and ndarray
        Both of shape (oils, 1).
    """
    figures = np.array(
        [(o.kinematic_viscosity_40, o.kinematic_viscosity_100, o.density_15) for o in oils]
    ).reshape(-1, 3)
    share = np.array([assumed("multigrade_share") if o.multigrade else 1.0 for o in oils])
    return (
        Oil(
            kinematic_viscosity_40=figures[:, :1],
            kinematic_viscosity_100=figures[:, 1:2],
            density_15=figures[:, 2:],
        ),
        share[:, None],
    )


def films(
    case: OilChoiceCase,
    temperatures_c: Sequence[float],
    states: Sequence[State],
    oils: Sequence[ChoiceOil] | None = None,
) -> Films:
    """Compute the films of a unit's bearings.

    Parameters
    ----------
    case : OilChoiceCase
        With at least one bearing.
    temperatures_c : sequence of float
        Of the oil in the sump [degC].
    states : sequence of str
        The clearances.
    oils : sequence of ChoiceOil, optional
        The case's where left out.

    Returns
    -------
    Films

    Raises
    ------
    OutOfRange
        For a bearing that is not `computable`.

    References
    ----------
    `oil_flow_balance`: the oil is drawn in at the sump's temperature and carries off the heat of
    friction. Where it is not pressed in, a share of it is taken to arrive (``unforced_flow_share``
    of the assumptions), which is put as so much less heat carried a kelvin.
    """
    bearings = case.bearings
    oil, share = oils_together(case.oils if oils is None else oils)
    clearance = np.array(
        [[getattr(b, state) or np.nan for b in bearings] for state in states], dtype=np.float64
    ).reshape(len(states), 1, 1, len(bearings))
    known = np.isfinite(clearance)
    # any clearance serves where none is known: what comes of it is masked
    filled = np.where(known, clearance, np.fmax.reduce(clearance, axis=0, keepdims=True))
    supply = np.asarray(temperatures_c, dtype=np.float64)[:, None, None]
    arriving = 1.0 if case.forced_oil else assumed("unforced_flow_share")
    capacity = density(oil, supply) * specific_heat(supply, oil.density_15)
    column = {
        name: np.array([getattr(b, name) for b in bearings])
        for name in ("diameter", "length", "speed", "load", "surface_roughness")
    }
    roughness = column.pop("surface_roughness")
    done = oil_flow_balance(
        **column,
        running_clearance=np.where(np.isfinite(filled), filled, 1e-3 * column["diameter"]),
        oil=oil,
        supply_temperature_c=supply,
        viscosity_factor=share,
        heat_capacity=arriving * capacity,
    )
    shape = done.outcome.shape
    return Films(
        performance=done,
        known=np.broadcast_to(known, shape),
        film_ratio=done.minimum_film_thickness / roughness,
        allowable_film=allowable_film(
            column["diameter"], np.pi * column["diameter"] * column["speed"]
        ),
    )
