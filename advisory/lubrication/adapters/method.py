"""The figures of the oil-change interval that were set, for the page that prints them."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from advisory.engineering.assumption import Assumption
from advisory.engineering.oil_change import ASSUMPTIONS
from advisory.engineering.oil_choice import ALLOWABLE_FILM
from advisory.engineering.oil_choice import ASSUMPTIONS as CHOICE_ASSUMPTIONS
from advisory.lubrication.adapters.assumed import STAND_INS


@dataclass(frozen=True)
class MethodRow:
    """One figure with its unit, what it is, and where it comes from."""

    figure: str
    meaning: str
    source: str


@dataclass(frozen=True)
class MethodTable:
    """One table of figures."""

    title: str | Promise
    lead: str | Promise
    rows: Sequence[MethodRow]


def method_tables() -> list[MethodTable]:
    """Return the tables, those of the computation first."""
    return [
        MethodTable(
            _("Figures of the computation"),
            _("Set by common practice or by us; everything else follows from them."),
            _rows(ASSUMPTIONS),
        ),
        MethodTable(
            _("Taken where nobody has told us"),
            _("The careful side; each is named on the advice that rests on it."),
            _rows(STAND_INS),
        ),
    ]


def choice_tables() -> list[MethodTable]:
    """Return the tables of the oil choice."""
    temperatures = [row for row in STAND_INS if row.name in _TEMPERATURES]
    return [
        MethodTable(
            _("Figures of the computation"),
            _("What a film and a cold start are held to, and what is taken where nobody knows."),
            _rows(CHOICE_ASSUMPTIONS),
        ),
        MethodTable(
            _("The least film"),
            _("The stricter of the two rules counts; D is the journal's diameter."),
            [
                MethodRow(figure, str(_("Least film of a journal bearing.")), source)
                for figure, source in ALLOWABLE_FILM
            ],
        ),
        MethodTable(
            _("Temperatures of the oil"),
            _("Where nobody has measured a warm run."),
            _rows(temperatures),
        ),
    ]


_TEMPERATURES = frozenset({"sump_temperature_not_known", "gearbox_temperature_not_known"})


def _rows(assumptions: Sequence[Assumption]) -> list[MethodRow]:
    return [
        MethodRow(f"{row.value:g} {row.unit}".strip(), row.meaning, row.source)
        for row in assumptions
    ]
