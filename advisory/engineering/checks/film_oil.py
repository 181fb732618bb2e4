"""Specific heat of an engine oil in a table of thermodynamics beside the relation used here."""

from __future__ import annotations

from functools import partial

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.journal_bearing import specific_heat

_TABLE = (
    "R. E. Sonntag, C. Borgnakke, G. J. Van Wylen, Fundamentals of Thermodynamics, 5th ed., Wiley "
    "1998, table of liquids as reproduced at amesweb.info: engine oil, unused"
)
_DENSITY_15 = 891.0  # kg/m3: the oil of such tables is 888 kg/m3 at 20 degC


def _kilojoules(temperature_c: float) -> float:
    return 1e-3 * float(specific_heat(temperature_c, _DENSITY_15))


CHECKS = tuple(
    CheckValue(
        what=f"specific heat of an oil of {_DENSITY_15:g} kg/m3 at 15 degC, at {at:g} degC",
        published=value,
        unit="kJ/kg/K",
        compute=partial(_kilojoules, at),
        tolerance=0.04,
        source=_TABLE,
        marks=("R",),
        remark="Oils differ by as much from one another; the rise in the film differs with it.",
    )
    for at, value in ((20.0, 1.88), (60.0, 2.05), (100.0, 2.22))
)
