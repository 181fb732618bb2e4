"""What a grade of oil in an old handbook meant, in today's grades."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisory.engineering.errors import OutOfRange
from advisory.engineering.oil_grades import SAE_ENGINE_GRADES, SAE_GEAR_GRADES

_MM2 = 1e-6


@dataclass(frozen=True)
class HandbookGrade:
    """What a grade in an old book meant, in today's terms.

    Parameters
    ----------
    lowest, below : float
        Kinematic viscosity at 100 degC that the book's grade covered [m2/s].
    today : tuple of str
        Today's grades of the same kind that the range touches, thinnest first.
    source : str
        Where the old limits come from.
    """

    lowest: float
    below: float
    today: tuple[str, ...]
    source: str


#: First and last year, then grade: limits at 100 degC [mm2/s]. The years stand in the preamble of
#: SAE J300 as of May 1959 (numbers by viscosity alone from July 1926; the whole revised, and 60
#: dropped, in 1950; read in a reproduction). Engine limits from memory, converted from Saybolt
#: seconds at 210 degF; gear limits of before 2005 read in a summary of J306.
_OLD_ENGINE: tuple[tuple[int, int, dict[str, tuple[float, float]]], ...] = (
    (
        1926,
        1950,
        {
            "20": (6.6, 9.1),
            "30": (9.1, 11.6),
            "40": (11.6, 13.8),
            "50": (13.8, 20.8),
            "60": (20.8, 25.2),
        },
    ),
    (
        1951,
        1979,
        {"20": (5.6, 9.4), "30": (9.4, 12.6), "40": (12.6, 16.3), "50": (16.3, 21.9)},
    ),
)
_OLD_GEAR: tuple[tuple[int, int, dict[str, tuple[float, float]]], ...] = (
    (1926, 2004, {"90": (13.5, 24.0), "140": (24.0, 41.0)}),
)
_OLD_ENGINE_SOURCE = (
    "SAE engine oil numbers of the time: their years by the preamble of SAE J300 as of 1959 "
    "(read); their limits in Saybolt seconds at 210 degF, converted, from memory"
)
_OLD_GEAR_SOURCE = "SAE J306 before 2005 (read in a summary)"


def handbook_grade(
    grade: str, year: int, kind: Literal["engine", "gear"] = "engine"
) -> HandbookGrade:
    """Translate a grade out of an old handbook into today's grades.

    Parameters
    ----------
    grade : str
        The book's grade, such as "40"; "SAE 40" is understood.
    year : int
        Year in which the handbook was printed.
    kind : {"engine", "gear"}
        Whether the book speaks of engine oil or of gear oil.

    Returns
    -------
    HandbookGrade
        The range that was meant, and today's grades that it touches.

    Raises
    ------
    OutOfRange
        If the year is before the numbers existed or after the old ones ended, or there was no such
        grade then.

    References
    ----------
    The SAE numbers of the time, in Saybolt seconds at 210 degF (from memory, converted by ASTM
    D2161); their years by the preamble of SAE J300 as of May 1959 (read in a reproduction); SAE
    J306 before and after 2005 (read in a summary).

    Examples
    --------
    >>> handbook_grade("SAE 40", 1934).today
    ('30', '40')
    >>> handbook_grade("90", 1934, "gear").today
    ('90', '110')
    """
    periods, source, grades = (
        (_OLD_ENGINE, _OLD_ENGINE_SOURCE, SAE_ENGINE_GRADES)
        if kind == "engine"
        else (_OLD_GEAR, _OLD_GEAR_SOURCE, SAE_GEAR_GRADES)
    )
    name = grade.upper().removeprefix("SAE").strip()
    for first, last, table in periods:
        if first <= year <= last:
            if name not in table:
                known = ", ".join(table)
                raise OutOfRange("grade", f"one of {known} in a book of {year}", grade)
            low, high = table[name]
            # A range that only grazes a grade of today would mislead: a tenth of it must lie there.
            shared = 0.1 * (high - low)
            today = tuple(
                g.name
                for g in grades
                if min(g.below / _MM2, high) - max(g.lowest / _MM2, low) >= shared
                and int(g.name) >= 20  # the thinner grades of today are for engines of today
            )
            return HandbookGrade(low * _MM2, high * _MM2, today, source)
    first, last = periods[0][0], periods[-1][1]
    raise OutOfRange(
        "year",
        f"{first} to {last}",
        year,
        f"Only handbooks of {first} to {last} are translated: a later book means today's grades, "
        "an earlier one has no such numbers.",
    )
