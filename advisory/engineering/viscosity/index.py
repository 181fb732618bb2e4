"""The viscosity index: how little an oil thins as it warms."""

from __future__ import annotations

import numpy as np

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.viscosity.oil import Oil

#: From [mm2/s at 100 degC], then a, b, c of L = a Y2 + b Y + c and of H likewise. ASTM D2270-10,
#: appendix X2, table X2.1 (read in a reproduction; within 0.11 % of its table 1). The last row is
#: the standard's equation for oils above 70 mm2/s, in the body's rounding.
_SEGMENTS = np.array(
    [
        (2.0, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
        (3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
        (4.4, 2.5, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
        (5.0, 0.101, 16.635, -45.469, 0.04985, 9.1613, -18.557),
        (6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
        (7.0, 0.01191, 21.475, -72.87, 0.79762, -0.7321, 14.61),
        (7.7, 0.41858, 16.1558, -56.04, 0.05794, 10.5156, -28.24),
        (9.0, 0.88779, 7.5527, -16.6, 0.26665, 6.7015, -10.81),
        (12.0, 0.7672, 10.7972, -38.18, 0.20073, 8.4658, -22.49),
        (15.0, 0.97305, 5.3135, -2.2, 0.28889, 5.9741, -4.93),
        (18.0, 0.97256, 5.25, -0.98, 0.24504, 7.416, -16.73),
        (22.0, 0.91413, 7.4759, -21.82, 0.20323, 9.1267, -34.23),
        (28.0, 0.87031, 9.7157, -50.77, 0.18411, 10.1015, -46.75),
        (40.0, 0.84703, 12.6752, -133.31, 0.17029, 11.4866, -80.62),
        (55.0, 0.85921, 11.1009, -83.19, 0.1713, 11.368, -76.94),
        (70.0, 0.8353, 14.67, -216.0, 0.1684, 11.85, -97.0),
    ]
)
_MM2_PER_S = 1e-6


def reference_viscosities(kinematic_viscosity_100: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Viscosities at 40 degC of the two reference oils, of index 0 and of index 100.

    Parameters
    ----------
    kinematic_viscosity_100 : ndarray
        Kinematic viscosity at 100 degC that all three oils share [m2/s], from 2e-6.

    Returns
    -------
    ndarray, ndarray
        L and H of the standard [m2/s].

    Raises
    ------
    OutOfRange
        Below 2 mm2/s, where they are not defined.

    References
    ----------
    ASTM D2270-10, table X2.1 and equations 1 and 2 (read in a reproduction). ISO 2909 is the same.

    Examples
    --------
    >>> low, high = reference_viscosities(np.array(8.86e-6))
    >>> round(float(low) * 1e6, 2), round(float(high) * 1e6, 2)
    (119.96, 69.48)
    """
    y = (
        require("kinematic_viscosity_100", kinematic_viscosity_100, at_least=2e-6, unit="m2/s")
        / _MM2_PER_S
    )
    row = np.searchsorted(_SEGMENTS[:, 0], y * (1.0 + 1e-12), side="right") - 1
    segment = _SEGMENTS[np.maximum(row, 0)]
    powers = np.stack([y**2, y, np.ones_like(y)], axis=-1)
    low = np.sum(segment[..., 1:4] * powers, axis=-1)
    high = np.sum(segment[..., 4:7] * powers, axis=-1)
    return np.asarray(low * _MM2_PER_S), np.asarray(high * _MM2_PER_S)


def viscosity_index(oil: Oil) -> FloatArray:
    """Viscosity index of an oil.

    Parameters
    ----------
    oil : Oil
        The oil, or many oils at once.

    Returns
    -------
    ndarray
        Viscosity index [-], not rounded (the standard states it as a whole number); NaN where the
        oil is thinner than 2 mm2/s at 100 degC, for which it is not defined.

    References
    ----------
    ASTM D2270-10, procedure A up to 100 and B from 100 (read in a reproduction).

    Examples
    --------
    >>> oil = Oil(kinematic_viscosity_40=73.30e-6, kinematic_viscosity_100=8.86e-6)
    >>> round(float(viscosity_index(oil)))
    92
    """
    u, y = np.broadcast_arrays(
        np.asarray(oil.kinematic_viscosity_40, dtype=np.float64),
        np.asarray(oil.kinematic_viscosity_100, dtype=np.float64),
    )
    defined = y >= 2.0 * _MM2_PER_S
    low, high = reference_viscosities(np.where(defined, y, 2.0 * _MM2_PER_S))
    below_100 = (low - u) / (low - high) * 100.0
    with np.errstate(divide="ignore", invalid="ignore"):
        exponent = np.log10(high / u) / np.log10(y / _MM2_PER_S)
        above_100 = (10.0**exponent - 1.0) / 0.00715 + 100.0
    return np.where(defined, np.where(u > high, below_100, above_100), np.nan)
