"""Published values of viscosity, viscosity index and density."""

from __future__ import annotations

from functools import partial

import numpy as np

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.viscosity import (
    Oil,
    density,
    kinematic_viscosity,
    reference_viscosities,
    viscosity_index,
    viscosity_line,
)

_MM2 = 1e-6
_EXAMPLE = "A published worked example of ASTM D341, 32 mm2/s at 40 degC and 5.4 at 100 degC"
_KELVIN_273 = "The example takes 273 for 273.15 and rounds."
_SAME_OIL = "The same oil with 273.15, computed twice independently"
_D2270 = "ASTM D2270-10, Standard Practice for Calculating Viscosity Index, example in the text"
_TABLE = "ASTM D2270-10, table 1"

#: Viscosity at 100 degC, then L and H of the standard's table [mm2/s], one to three rows a segment.
#: The whole table was compared when the coefficients were taken over: within 0.11 %.
D2270_TABLE = (
    (2.0, 7.994, 6.394),
    (3.0, 15.49, 12.15),
    (3.8, 23.13, 17.97),
    (4.1, 26.50, 20.37),
    (4.4, 30.48, 22.92),
    (4.7, 35.13, 25.63),
    (5.0, 40.23, 28.49),
    (5.8, 54.42, 36.26),
    (6.4, 65.18, 42.14),
    (6.7, 71.29, 45.33),
    (7.0, 78.00, 48.57),
    (7.4, 86.66, 52.88),
    (7.7, 93.20, 56.20),
    (8.5, 111.5, 65.32),
    (9.0, 123.3, 71.10),
    (10.0, 147.7, 82.87),
    (11.2, 179.4, 97.71),
    (12.0, 201.9, 108.0),
    (13.5, 247.4, 128.4),
    (15.0, 296.5, 149.7),
    (16.5, 350.3, 172.3),
    (18.0, 408.6, 196.2),
    (20.0, 493.2, 229.5),
    (22.0, 585.2, 264.9),
    (25.0, 736.5, 320.9),
    (28.0, 904.1, 380.6),
    (34.0, 1286.0, 509.6),
    (40.0, 1730.0, 651.8),
    (47.0, 2333.0, 835.5),
    (55.0, 3126.0, 1066.0),
    (62.0, 3908.0, 1286.0),
    (70.0, 4905.0, 1558.0),
)


def _oil(viscosity_40: float, viscosity_100: float) -> Oil:
    return Oil(
        kinematic_viscosity_40=viscosity_40 * _MM2, kinematic_viscosity_100=viscosity_100 * _MM2
    )


def _line(name: str) -> float:
    return float(getattr(viscosity_line(32 * _MM2, 40.0, 5.4 * _MM2, 100.0), name))


def _viscosity(temperature_c: float) -> float:
    return float(kinematic_viscosity(_oil(32, 5.4), temperature_c)) / _MM2


def _reference(place: int, viscosity_100: float) -> float:
    return float(reference_viscosities(np.array(viscosity_100 * _MM2))[place]) / _MM2


def _index(viscosity_40: float, viscosity_100: float) -> float:
    return float(viscosity_index(_oil(viscosity_40, viscosity_100)))


def _density(temperature_c: float) -> float:
    oil = Oil(
        kinematic_viscosity_40=100 * _MM2, kinematic_viscosity_100=11.2 * _MM2, density_15=886.0
    )
    return float(density(oil, temperature_c))


CHECKS: tuple[CheckValue, ...] = (
    CheckValue(
        "A of ASTM D341", 9.5259, "", partial(_line, "a"), 1e-3, _EXAMPLE, ("R",),
        remark=_KELVIN_273,
    ),
    CheckValue(
        "B of ASTM D341", 3.7449, "", partial(_line, "b"), 1e-3, _EXAMPLE, ("R",),
        remark=_KELVIN_273,
    ),
    CheckValue(
        "viscosity at 80 degC", 8.5, "mm2/s", partial(_viscosity, 80.0), 0.05, _EXAMPLE, ("R",),
        absolute=True, remark=_KELVIN_273,
    ),
    CheckValue("A of ASTM D341", 9.53082, "", partial(_line, "a"), 1e-6, _SAME_OIL, ("C",)),
    CheckValue("B of ASTM D341", 3.74658, "", partial(_line, "b"), 1e-6, _SAME_OIL, ("C",)),
    *(
        CheckValue(
            f"viscosity at {t:g} degC", nu, "mm2/s", partial(_viscosity, t), 2e-4, _SAME_OIL, ("C",)
        )
        for t, nu in ((0.0, 336.0), (20.0, 86.28), (60.0, 15.186), (80.0, 8.5332), (120.0, 3.7239))
    ),
    *(
        CheckValue(
            f"{letter} at {y:g} mm2/s", published, "mm2/s", partial(_reference, place, y), 1.1e-3,
            _TABLE, ("R",),
        )
        for y, low, high in D2270_TABLE
        for place, letter, published in ((0, "L", low), (1, "H", high))
    ),
    CheckValue(
        "L at 8.86 mm2/s", 119.94, "mm2/s", partial(_reference, 0, 8.86), 1.1e-3, _D2270, ("R",)
    ),
    CheckValue(
        "H at 8.86 mm2/s", 69.48, "mm2/s", partial(_reference, 1, 8.86), 1.1e-3, _D2270, ("R",)
    ),
    CheckValue(
        "index of 73.30 / 8.86 mm2/s", 92.43, "", partial(_index, 73.30, 8.86), 0.1, _D2270, ("R",),
        absolute=True,
    ),
    CheckValue(
        "index of 22.83 / 5.05 mm2/s", 156.37, "", partial(_index, 22.83, 5.05), 0.3, _D2270,
        ("R",), absolute=True, remark="The example interpolates its table by straight lines.",
    ),
    CheckValue(
        "index of 53.47 / 7.80 mm2/s", 111.0, "", partial(_index, 53.47, 7.80), 0.5, _D2270,
        ("M", "C"), absolute=True, remark="The whole number as printed.",
    ),
    CheckValue(
        "density at 80 degC of an oil of 886 kg/m3 at 15 degC", 844.68, "kg/m3",
        partial(_density, 80.0), 1e-5, "API MPMS 11.1, computed twice independently", ("C",),
    ),
)  # fmt: skip
