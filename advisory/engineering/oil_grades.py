"""The grades of oil: SAE J300 for engines, SAE J306 for gears, ISO 3448."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.viscosity import ColdData

_MM2 = 1e-6
_MPA_S = 1e-3


@dataclass(frozen=True)
class HotGrade:
    """A grade by its viscosity at 100 degC, from the lower limit up to below the upper one.

    Parameters
    ----------
    name : str
        The grade, without the letters SAE.
    lowest, below : float
        Limits of the kinematic viscosity at 100 degC [m2/s]; the upper one may be infinite.
    high_shear : float
        Least viscosity at 150 degC and high shear [Pa s]; 0 where none is asked for.
    """

    name: str
    lowest: float
    below: float
    high_shear: float = 0.0

    def holds(self, kinematic_viscosity_100: float) -> bool:
        """Whether a viscosity at 100 degC [m2/s] lies in the grade."""
        # 12.5 mm2/s is grade 40 and no longer 30, whatever a conversion did to its last digit.
        nu = kinematic_viscosity_100 * (1.0 + 1e-9)
        return self.lowest <= nu < self.below


@dataclass(frozen=True)
class ColdGrade:
    """A winter grade of engine oil.

    Parameters
    ----------
    name : str
        The grade, with its W.
    lowest : float
        Least kinematic viscosity at 100 degC [m2/s].
    cranking_viscosity : float
        Greatest viscosity in the cranking test [Pa s].
    cranking_temperature_c : float
        Temperature of the cranking test [degC]; the pumping test is 5 degC colder.
    """

    name: str
    lowest: float
    cranking_viscosity: float
    cranking_temperature_c: float


def _hot(name: str, lowest: float, below: float, high_shear: float = 0.0) -> HotGrade:
    return HotGrade(name, lowest * _MM2, below * _MM2, high_shear * _MPA_S)


#: SAE J300, edition of May 2024 (limits read in a summary). The ranges below grade 20 overlap.
SAE_ENGINE_GRADES = (
    _hot("8", 4.0, 6.1, 1.7),
    _hot("12", 5.0, 7.1, 2.0),
    _hot("16", 6.1, 8.2, 2.3),
    _hot("20", 6.9, 9.3, 2.6),
    _hot("30", 9.3, 12.5, 2.9),
    _hot("40", 12.5, 16.3, 3.7),
    _hot("50", 16.3, 21.9, 3.7),
    _hot("60", 21.9, 26.1, 3.7),
)

#: Least high-shear viscosity [Pa s] of grade 40 where it is 0W-40, 5W-40 or 10W-40; same source.
SAE_40_LIGHT_HIGH_SHEAR = 3.5 * _MPA_S

#: SAE J300, edition of May 2024 (limits read in a summary).
SAE_WINTER_GRADES = (
    ColdGrade("0W", 3.8 * _MM2, 6.2, -35.0),
    ColdGrade("5W", 3.8 * _MM2, 6.6, -30.0),
    ColdGrade("10W", 4.1 * _MM2, 7.0, -25.0),
    ColdGrade("15W", 5.6 * _MM2, 7.0, -20.0),
    ColdGrade("20W", 5.6 * _MM2, 9.5, -15.0),
    ColdGrade("25W", 9.3 * _MM2, 13.0, -10.0),
)

#: Greatest viscosity in the pumping test of every winter grade [Pa s], and how much colder than the
#: cranking test it is done [K]; SAE J300, May 2024 (read in a summary).
PUMPING_VISCOSITY = 60.0
PUMPING_COLDER_BY = 5.0

#: SAE J306, edition of February 2019 (limits read in a summary).
SAE_GEAR_GRADES = (
    _hot("65", 3.8, 5.0),
    _hot("70", 5.0, 6.5),
    _hot("75", 6.5, 8.5),
    _hot("80", 8.5, 11.0),
    _hot("85", 11.0, 13.5),
    _hot("90", 13.5, 18.5),
    _hot("110", 18.5, 24.0),
    _hot("140", 24.0, 32.5),
    _hot("190", 32.5, 41.0),
    _hot("250", 41.0, float("inf")),
)

#: ISO 3448: middle of each grade at 40 degC [mm2/s], which is its name; the limits are 10 % either
#: side (read in a summary; 2200 and 3200 from memory).
ISO_GRADES = (
    2.2, 3.2, 4.6, 6.8, 10.0, 15.0, 22.0, 32.0, 46.0, 68.0, 100.0, 150.0, 220.0, 320.0, 460.0,
    680.0, 1000.0, 1500.0, 2200.0, 3200.0,
)  # fmt: skip


def _winter_grade(kinematic_viscosity_100: float, cold: ColdData) -> str | None:
    """Return the coldest winter grade whose tests the oil was given and passed."""
    for grade in SAE_WINTER_GRADES:
        same_tests = (
            abs(cold.cranking_temperature_c - grade.cranking_temperature_c) < 0.5
            and abs(cold.pumping_temperature_c - (grade.cranking_temperature_c - PUMPING_COLDER_BY))
            < 0.5
        )
        if (
            same_tests
            and kinematic_viscosity_100 * (1.0 + 1e-9) >= grade.lowest
            and cold.cranking_viscosity <= grade.cranking_viscosity
            and cold.pumping_viscosity <= PUMPING_VISCOSITY
        ):
            return grade.name
    return None


def sae_engine_grades(
    kinematic_viscosity_100: float,
    *,
    high_shear_viscosity: float | None = None,
    cold: ColdData | None = None,
) -> tuple[str, ...]:
    """Engine oil grades that an oil meets.

    Parameters
    ----------
    kinematic_viscosity_100 : float
        Kinematic viscosity at 100 degC [m2/s].
    high_shear_viscosity : float, optional
        Viscosity at 150 degC and high shear [Pa s]. Where it isn't known, that limit isn't
        checked.
    cold : ColdData, optional
        Its cold tests. Where they aren't known, no winter grade is named: it doesn't follow from
        the viscosities at 40 and 100 degC. An oil is named for the temperatures it was tested at.

    Returns
    -------
    tuple of str
        Grades without the letters SAE, the winter grade first; empty where it meets none.

    Raises
    ------
    OutOfRange
        If a viscosity is not positive.

    References
    ----------
    SAE J300, May 2024, table 1 (limits read in a summary).

    Examples
    --------
    >>> sae_engine_grades(11.2e-6)
    ('30',)
    >>> sae_engine_grades(8.0e-6)
    ('16', '20')
    """
    require("kinematic_viscosity_100", kinematic_viscosity_100, above=0.0, unit="m2/s")
    if high_shear_viscosity is not None:
        require("high_shear_viscosity", high_shear_viscosity, above=0.0, unit="Pa s")
    winter = None if cold is None else _winter_grade(kinematic_viscosity_100, cold)
    met: list[str] = [] if winter is None else [winter]
    for grade in SAE_ENGINE_GRADES:
        least = grade.high_shear
        if grade.name == "40" and winter in {"0W", "5W", "10W"}:
            least = SAE_40_LIGHT_HIGH_SHEAR
        sheared_enough = high_shear_viscosity is None or high_shear_viscosity >= least
        if grade.holds(kinematic_viscosity_100) and sheared_enough:
            met.append(grade.name)
    return tuple(met)


def sae_gear_grade(kinematic_viscosity_100: float) -> str | None:
    """Gear oil grade of an oil by its viscosity at 100 degC.

    Parameters
    ----------
    kinematic_viscosity_100 : float
        Kinematic viscosity at 100 degC [m2/s].

    Returns
    -------
    str or None
        The grade without the letters SAE; None where the oil is thinner than any.

    Raises
    ------
    OutOfRange
        If the viscosity is not positive.

    References
    ----------
    SAE J306, February 2019, table 1 (limits read in a summary).

    Examples
    --------
    >>> sae_gear_grade(16.2e-6)
    '90'
    """
    require("kinematic_viscosity_100", kinematic_viscosity_100, above=0.0, unit="m2/s")
    for grade in SAE_GEAR_GRADES:
        if grade.holds(kinematic_viscosity_100):
            return grade.name
    return None


def iso_viscosity_grade(kinematic_viscosity_40: Floats) -> FloatArray:
    """ISO viscosity grade of an oil.

    Parameters
    ----------
    kinematic_viscosity_40 : float or ndarray
        Kinematic viscosity at 40 degC [m2/s].

    Returns
    -------
    ndarray
        The grade, which is the middle of its range [mm2/s]; NaN where the oil lies between two.

    Raises
    ------
    OutOfRange
        If a viscosity is not positive.

    References
    ----------
    ISO 3448, table 1 (read in a summary): middle +-10 %, the limits included.

    Examples
    --------
    >>> [float(g) for g in iso_viscosity_grade([100e-6, 120e-6])]
    [100.0, nan]
    """
    nu = require("kinematic_viscosity_40", kinematic_viscosity_40, above=0.0, unit="m2/s") / _MM2
    grades = np.array(ISO_GRADES)
    nearest = grades[np.argmin(np.abs(np.log(nu[..., np.newaxis] / grades)), axis=-1)]
    # A tenth of a millionth of slack: 90 mm2/s is inside although 0.9 * 100 is not exactly 90.
    inside = np.abs(nu - nearest) <= 0.1 * nearest * (1.0 + 1e-7)
    return np.where(inside, nearest, np.nan)
