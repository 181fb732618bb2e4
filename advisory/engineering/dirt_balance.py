"""How dirty the oil gets: the mass balance of a well-mixed sump, over successive fills."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.errors import OutOfRange


def efficiency_from_beta(beta_ratio: Floats) -> FloatArray:
    """Share of the particles that a filter holds back in one pass.

    Parameters
    ----------
    beta_ratio : float or ndarray
        Particles above the rated size before the filter over those after it [-], at least 1.

    Returns
    -------
    ndarray
        Efficiency of one pass [-], 0 to below 1.

    Raises
    ------
    OutOfRange
        If a ratio is below 1.

    References
    ----------
    ISO 16889, filtration ratio: E = 1 - 1/beta (read in a summary).

    Examples
    --------
    >>> [round(float(e), 4) for e in efficiency_from_beta([2.0, 10.0, 75.0, 200.0])]
    [0.5, 0.9, 0.9867, 0.995]
    """
    return 1.0 - 1.0 / require("beta_ratio", beta_ratio, at_least=1.0)


@dataclass(frozen=True)
class DirtBalance:
    """Dirt in a sump at the end of its fills.

    Parameters
    ----------
    concentration : ndarray
        At the end of the last fill, before the drain [kg/m3].
    steady_concentration : ndarray
        What one fill would come to if it went on for ever [kg/m3]; infinite where nothing takes
        dirt out.
    time_constant : ndarray
        Time in which the distance to the steady concentration falls to 1/e [s]; infinite likewise.
    """

    concentration: FloatArray
    steady_concentration: FloatArray
    time_constant: FloatArray


def _grown(ratio: FloatArray, fills: FloatArray) -> FloatArray:
    """Return 1 + ratio + ratio² + ... of so many terms, also where the ratio is 1."""
    near_one = np.abs(1.0 - ratio) < 1e-12
    safe = np.where(near_one, 0.5, ratio)
    return np.where(near_one, fills, (1.0 - safe**fills) / (1.0 - safe))


def dirt_balance(
    *,
    sump_volume: Floats,
    ingress_rate: Floats,
    duration: Floats,
    filter_flow: Floats = 0.0,
    efficiency: Floats = 0.0,
    oil_loss: Floats = 0.0,
    initial_concentration: Floats = 0.0,
    residue_fraction: Floats = 0.0,
    fills: Floats = 1.0,
) -> DirtBalance:
    """Concentration of dirt in a well-mixed sump at the end of one or more fills.

    V dC/dt = G - (Q E + q) C within a fill; at each drain the residue stays and clean oil is added.

    Parameters
    ----------
    sump_volume : float or ndarray
        Oil in the sump, V [m3], above 0.
    ingress_rate : float or ndarray
        Mass of dirt that arrives in a time, G [kg/s], from 0.
    duration : float or ndarray
        Running time of each fill [s], from 0.
    filter_flow : float or ndarray
        Flow through the filter, Q [m3/s]. 0 is no filter.
    efficiency : float or ndarray
        Share that the filter holds back in one pass, E [-], 0 to 1.
    oil_loss : float or ndarray
        Oil that leaks or burns and is replaced by clean oil, q [m3/s].
    initial_concentration : float or ndarray
        Dirt in the first fill at its start [kg/m3].
    residue_fraction : float or ndarray
        Share of the old oil that stays behind at a drain [-], 0 to 1.
    fills : float or ndarray
        How many fills in a row, a whole number from 1.

    Returns
    -------
    DirtBalance
        Arrays of the shape to which the arguments broadcast.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Mass balance of a stirred vessel, in any text of chemical engineering; solved exactly. The
    relation between successive fills is a geometric series (derived).

    Examples
    --------
    Five litres, 10 mg an hour, 40 hours without a filter: 80 mg in each litre.

    >>> end = dirt_balance(sump_volume=5e-3, ingress_rate=10e-6 / 3600, duration=40 * 3600)
    >>> round(float(end.concentration) * 1e3, 1)
    80.0
    """
    volume = require("sump_volume", sump_volume, above=0.0, unit="m3")
    ingress = require("ingress_rate", ingress_rate, at_least=0.0, unit="kg/s")
    time = require("duration", duration, at_least=0.0, unit="s")
    flow = require("filter_flow", filter_flow, at_least=0.0, unit="m3/s")
    held_back = require("efficiency", efficiency, at_least=0.0, at_most=1.0)
    loss = require("oil_loss", oil_loss, at_least=0.0, unit="m3/s")
    start = require("initial_concentration", initial_concentration, at_least=0.0, unit="kg/m3")
    residue = require("residue_fraction", residue_fraction, at_least=0.0, at_most=1.0)
    count = require("fills", fills, at_least=1.0)
    if not np.all(count == np.floor(count)):
        raise OutOfRange("fills", "a whole number", float(count[count != np.floor(count)].flat[0]))

    removal = (flow * held_back + loss) / volume  # 1/s
    decades = removal * time
    # (1 - exp(-x))/x, which goes to 1 where nothing is removed.
    safe = np.where(decades > 0.0, decades, 1.0)
    kept = np.where(decades > 0.0, -np.expm1(-safe) / safe, 1.0)
    added = ingress * time / volume * kept
    carried = np.exp(-decades)
    ratio = residue * carried
    concentration = added * _grown(ratio, count) + carried * ratio ** (count - 1.0) * start

    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        steady = np.where(removal > 0.0, ingress / (volume * removal), np.inf)
        time_constant = np.where(removal > 0.0, 1.0 / removal, np.inf)
    shape = concentration.shape
    return DirtBalance(
        concentration=np.asarray(concentration),
        steady_concentration=np.broadcast_to(steady, shape),
        time_constant=np.broadcast_to(time_constant, shape),
    )
