"""How a relation takes its arguments: floats or arrays, checked once, in one place."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.errors import OutOfRange

FloatArray: TypeAlias = NDArray[np.float64]
Floats: TypeAlias = float | FloatArray


def require(
    argument: str,
    value: Floats,
    *,
    above: float | None = None,
    at_least: float | None = None,
    below: float | None = None,
    at_most: float | None = None,
    unit: str = "",
) -> FloatArray:
    """Return an argument as a float array, or refuse it.

    Parameters
    ----------
    argument : str
        Name of the argument, as the calling function spells it.
    value : float or array_like
        The value or values given.
    above, at_least : float, optional
        Lower limit, itself refused or allowed.
    below, at_most : float, optional
        Upper limit, itself refused or allowed.
    unit : str
        The unit, for the message.

    Returns
    -------
    ndarray
        The value as float64, of the shape given; a number becomes an array of no dimension.

    Raises
    ------
    OutOfRange
        If any element lies outside the limits, is infinite or is not a number.

    Examples
    --------
    >>> require("sump_volume", [0.003, 0.0], above=0.0, unit="m3")
    Traceback (most recent call last):
    ...
    advisory.engineering.errors.OutOfRange: sump_volume must be above 0 m3, not 0.0.
    """
    values = np.asarray(value, dtype=np.float64)
    good = np.isfinite(values)
    limits: list[str] = []
    if above is not None:
        good &= values > above
        limits.append(f"above {above:g}")
    if at_least is not None:
        good &= values >= at_least
        limits.append(f"at least {at_least:g}")
    if below is not None:
        good &= values < below
        limits.append(f"below {below:g}")
    if at_most is not None:
        good &= values <= at_most
        limits.append(f"at most {at_most:g}")
    if not good.all():
        limit = " and ".join(limits) or "a finite number"
        first_bad = float(values[~good].flat[0])
        raise OutOfRange(argument, f"{limit} {unit}".rstrip(), first_bad)
    return values
