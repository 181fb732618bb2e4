"""Whether oil arrives on a cold start: what the pump must draw, what the feed pipe lets through."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray
from advisory.engineering.feed_pipe import LAMINAR_REYNOLDS_NUMBER, feed_pipe_flow
from advisory.engineering.oil_choice.assumptions import assumed
from advisory.engineering.oil_choice.case import ChoicePipe, OilChoiceCase
from advisory.engineering.oil_choice.films import oils_together
from advisory.engineering.viscosity import (
    VISCOSITY_RANGE,
    Oil,
    density,
    viscosity_line,
    viscosity_on_line,
)


@dataclass(frozen=True)
class ColdArrival:
    """What becomes of each oil on a cold start; one dimension, by oil.

    Parameters
    ----------
    viscosity : ndarray
        Dynamic; infinite where the oil is thicker than the relation goes [Pa s].
    flows : ndarray of bool
        Whether a pump draws it, or it flows back to what dips into it.
    flow, filling_time : ndarray or None
        Through the feed pipe, and to fill the pipe itself; None where pipe or pressure is not
        known, NaN where the flow would not be laminar or the oil does not flow [m3/s], [s].
    fills : ndarray of bool
        Whether the pipe fills in time; True where nobody can tell.
    """

    viscosity: FloatArray
    flows: NDArray[np.bool_]
    flow: FloatArray | None
    filling_time: FloatArray | None
    fills: NDArray[np.bool_]

    @property
    def arrives(self) -> NDArray[np.bool_]:
        """Whether nothing that is known keeps the oil from arriving."""
        return self.flows & self.fills


def viscosity_or_stiff(oil: Oil, temperature_c: float) -> FloatArray:
    """Dynamic viscosity, infinite where an oil is thicker than ASTM D341 goes.

    Parameters
    ----------
    oil : Oil
        Many oils at once.
    temperature_c : float
        -40 to 150 [degC].

    Returns
    -------
    ndarray
        [Pa s].

    References
    ----------
    ASTM D341-09; its range ends at 2e7 mm2/s (from memory).

    Examples
    --------
    >>> stiff = Oil(kinematic_viscosity_40=4e-3, kinematic_viscosity_100=5e-5)
    >>> float(viscosity_or_stiff(stiff, -40.0))
    inf
    """
    line = viscosity_line(oil.kinematic_viscosity_40, 40.0, oil.kinematic_viscosity_100, 100.0)
    power = line.a - line.b * np.log10(temperature_c + 273.15)
    thickest = np.log10(np.log10(VISCOSITY_RANGE[1] * 1e6))
    stiff = power >= thickest
    warm = np.where(stiff, 40.0, temperature_c)
    return np.where(stiff, np.inf, viscosity_on_line(line, warm) * density(oil, warm))


def cold_arrival(case: OilChoiceCase) -> ColdArrival:
    """Find whether each oil arrives on a cold start.

    Parameters
    ----------
    case : OilChoiceCase
        Its oils, its pipe and its cold start count.

    Returns
    -------
    ColdArrival

    References
    ----------
    Hagen and Poiseuille, see `feed_pipe_flow`. The time is the pipe's own volume over the flow of
    the full pipe: a front that moves on through an empty pipe takes half of it, so that as much
    again is left for what the bearing itself holds.
    """
    oil, _share = oils_together(case.oils)
    viscosity = viscosity_or_stiff(oil, case.cold_c).ravel()
    limit = assumed("pumped_viscosity" if case.pumped else "splashed_viscosity")
    flows = viscosity <= limit
    if case.pipe is None or case.pipe.pressure is None or not viscosity.size:
        return ColdArrival(viscosity, flows, None, None, np.ones_like(flows))
    flow, at_least = pipe_flow(
        case.pipe, case.pipe.pressure, viscosity, density(oil, case.cold_c).ravel()
    )
    volume = 0.25 * np.pi * case.pipe.bore**2 * case.pipe.length
    with np.errstate(divide="ignore"):
        filling, at_most = volume / flow, volume / at_least
    return ColdArrival(
        viscosity,
        flows,
        flow,
        np.where(np.isinf(filling), np.nan, filling),
        at_most
        <= assumed("filling_time_standing_full" if case.pipe.stands_full else "filling_time"),
    )


def pipe_flow(
    pipe: ChoicePipe, pressure: float, viscosity: FloatArray, rho: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Compute what comes through a round pipe, and what does so at least.

    Parameters
    ----------
    pipe : ChoicePipe
        Its own pressure does not count.
    pressure : float
        From end to end [Pa].
    viscosity, rho : ndarray
        Of the oils; an infinite viscosity lets nothing through [Pa s], [kg/m3].

    Returns
    -------
    tuple of ndarray
        The laminar flow, NaN where it would not be laminar; and the same with half of the flow at
        the end of the laminar range in its place, which turbulence does not undercut [m3/s].

    References
    ----------
    `feed_pipe_flow`. At a Reynolds number of 2000 friction after Blasius, 0.316 Re^(-1/4), is 1.5
    times the laminar 64/Re, so that the flow falls by less than half (textbooks of fluid
    mechanics, from memory).

    Examples
    --------
    >>> pipe = ChoicePipe(bore=0.006, length=0.8, pressure=None)
    >>> flow, at_least = pipe_flow(pipe, 1e5, np.array([0.1, 0.001]), np.array([880.0, 880.0]))
    >>> bool(np.isnan(flow[1])), round(float(at_least[1] / at_least[0]), 2)
    (True, 0.13)
    """
    stiff = np.isinf(viscosity)
    through = feed_pipe_flow(
        bore=pipe.bore,
        length=pipe.length,
        pressure_difference=pressure,
        viscosity=np.where(stiff, 1.0, viscosity),
        density=rho,
    )
    flow = np.where(stiff, 0.0, through.flow)
    edge = LAMINAR_REYNOLDS_NUMBER * viscosity * np.pi * pipe.bore / (4.0 * rho)
    return flow, np.where(np.isnan(flow), 0.5 * edge, flow)
