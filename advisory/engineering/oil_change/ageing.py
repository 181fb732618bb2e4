"""How long an oil lasts by its temperature, and by the fuel and water of cold short runs."""

from __future__ import annotations

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.oil_change.assumptions import assumed


def ageing_life(
    temperatures_c: Floats, time_shares: Floats = 1.0, short_run_share: Floats = 0.0
) -> FloatArray:
    """How long an oil lasts over a profile of temperatures.

    Parameters
    ----------
    temperatures_c : float or ndarray, shape (..., k)
        Temperatures of the oil on warm runs [degC], 0 to 150.
    time_shares : float or ndarray, shape (..., k)
        Share of the warm running time at each [-]; they add up to 1.
    short_run_share : float or ndarray, shape (...)
        Share of the running in runs too short to warm the oil [-], 0 to 1.

    Returns
    -------
    ndarray, shape (...)
        Running time [s] until the shares of life add up to 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range or the shares don't add up to 1.

    References
    ----------
    Life halves with each 10 K above about 60 degC, after Arrhenius; shares of life add up: common
    practice, no source. The figures are in ``ASSUMPTIONS``.

    Examples
    --------
    >>> [round(float(ageing_life(t)) / 3600, 1) for t in (60.0, 80.0, 100.0)]
    [1000.0, 250.0, 62.5]
    """
    t = np.atleast_1d(
        require("temperatures_c", temperatures_c, at_least=0.0, at_most=150.0, unit="degC")
    )
    shares = np.atleast_1d(require("time_shares", time_shares, at_least=0.0, at_most=1.0))
    short = require("short_run_share", short_run_share, at_least=0.0, at_most=1.0)
    totals = np.sum(np.broadcast_to(shares, np.broadcast_shapes(shares.shape, t.shape)), axis=-1)
    if not np.all(np.abs(totals - 1.0) < 1e-6):
        raise OutOfRange("time_shares", "shares that add up to 1", float(np.ravel(totals)[0]))
    steps = np.maximum(t - assumed("ageing_base_temperature"), 0.0) / assumed("ageing_halving")
    warm = np.sum(shares * 2.0**steps, axis=-1) / assumed("ageing_life")  # share of life in 1 s
    # Runs that stay cold never let an oil last longer than the hot ones that they replace.
    cold = np.maximum(1.0 / assumed("short_run_life"), warm)
    return np.asarray(1.0 / ((1.0 - short) * warm + short * cold))
