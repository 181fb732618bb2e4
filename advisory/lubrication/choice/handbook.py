"""An old handbook's grade in today's, and how today's fare in a unit."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from django.utils.translation import gettext as _

from advisory.common.quantities import number_in_words
from advisory.lubrication.adapters.engineering import HandbookGrade, handbook_grade
from advisory.lubrication.choice.tables import ChoiceShown, OilRow


@dataclass(frozen=True)
class HandbookShown:
    """What the book meant, in words, and today's oils of these grades in the unit's table."""

    answer: str
    meant: str
    source: str
    rows: Sequence[OilRow]


def show_handbook(
    grade: str, year: int, kind: Literal["engine", "gear"], shown: ChoiceShown
) -> HandbookShown:
    """Translate a grade by the book's year.

    Raises
    ------
    OutOfRange
        For a year or a grade that there was not, naming which.
    """
    old = handbook_grade(grade, year, kind)
    names = [f"SAE {name}" for name in old.today]
    return HandbookShown(
        answer=_("SAE %(old)s of %(year)s is today's %(today)s")
        % {
            "old": grade.upper().removeprefix("SAE").strip(),
            "year": year,
            "today": _(" or ").join(names) or _("no grade"),
        },
        meant=_meant(old),
        source=old.source,
        rows=[row for row in shown.generic_rows(kind) if _is_one_of(row.name, names)],
    )


def _meant(old: HandbookGrade) -> str:
    return _("The book's number meant %(low)s to %(high)s mm²/s at 100 °C.") % {
        "low": number_in_words(old.lowest * 1e6, 1),
        "high": number_in_words(old.below * 1e6, 1),
    }


def _is_one_of(name: str, grades: Sequence[str]) -> bool:
    """Say whether a generic straight oil is of one of these grades: by its name, gear oils too."""
    return any(name == grade or name.startswith(f"{grade} ") for grade in grades)
