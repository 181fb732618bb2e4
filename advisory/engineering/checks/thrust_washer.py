"""Thrust washers beside a handbook's load, a table's product and definitions worked by hand."""

from __future__ import annotations

from functools import partial

import numpy as np

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.metals import ALLOWABLES, BearingMaterial
from advisory.engineering.thrust_washer import (
    GROOVED_WASHER_PRESSURE,
    thrust_washer_duty,
)

_HANDBOOK = "Tribology Handbook, 2nd ed., A15, plain grooved thrust washer: 0.3 (D^2 - d^2) N in mm"
_TABLE = (
    "R. L. Mott, Machine Elements in Mechanical Design, table 16-1, performance in boundary "
    "lubrication, as reproduced at askfilo.com"
)
_HAND = "Washer of 30 by 50 mm, 300 N, 3000 rpm, floating: the definitions worked by hand"
_PSI_FOOT_PER_MINUTE = 6894.757 * 0.3048 / 60.0  # Pa m/s


def _duty(figure: str, size: float) -> float:
    duty = thrust_washer_duty(inner_diameter=0.03, outer_diameter=0.05, load=300.0, speed=50.0)
    return float(getattr(duty, figure)) / size


def _largest_load(inner: float, outer: float) -> float:
    area = 0.25 * np.pi * (outer**2 - inner**2) * 1e-6
    return float(GROOVED_WASHER_PRESSURE * area)


def _product(material: BearingMaterial) -> float:
    product = ALLOWABLES[material].pressure_velocity
    assert product is not None
    return product / _PSI_FOOT_PER_MINUTE


CHECKS = (
    *(
        CheckValue(
            what=f"largest load of an oiled, grooved washer of {inner:g} by {outer:g} mm",
            published=load,
            unit="N",
            compute=partial(_largest_load, inner, outer),
            tolerance=1e-9,
            source=_HANDBOOK,
            marks=("R",),
        )
        for inner, outer, load in ((30.0, 50.0, 480.0), (20.0, 40.0, 360.0))
    ),
    *(
        CheckValue(
            what=f"largest pressure times speed of {words}",
            published=product,
            unit="psi ft/min",
            compute=partial(_product, material),
            tolerance=2e-3,
            source=_TABLE,
            marks=("R",),
            remark="The table rounds 1 MPa m/s to 28 571 psi ft/min.",
        )
        for material, words, product in (
            (BearingMaterial.BRONZE, "porous bronze, the least of the bronzes", 50_000.0),
            (BearingMaterial.TIN_WHITE_METAL, "white metal of 89 % tin", 30_000.0),
            (BearingMaterial.LEAD_WHITE_METAL, "white metal of 10 % tin", 18_000.0),
        )
    ),
    CheckValue("pressure", 0.2387324, "MPa", partial(_duty, "pressure", 1e6), 1e-6, _HAND, ("C",)),
    CheckValue(
        "sliding speed", 3.141593, "m/s", partial(_duty, "sliding_speed", 1.0), 1e-6, _HAND, ("C",)
    ),
    CheckValue(
        "pressure times speed",
        0.75,
        "MPa·m/s",
        partial(_duty, "pressure_velocity", 1e6),
        1e-9,
        _HAND,
        ("C",),
    ),
)
