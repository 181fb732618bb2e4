"""What comes back again, in words."""

from collections.abc import Callable
from math import floor, log10

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from advisory.common.quantities.words import number_in_words
from advisory.findings.enums import Cause
from advisory.findings.marks import DamageMark
from advisory.lubrication.enums import Filtration
from advisory.register.enums import PositionKind
from advisory.reports.enums import Cut, Stands
from advisory.reports.recurring.counted import Interval, Row
from advisory.reports.recurring.cuts import ORIGIN_WORDS, Cell

# What each cut compares with what.
COMPARED: dict[Cut, Promise] = {
    Cut.DESIGN: gettext_lazy("Each design against the workshop's other designs."),
    Cut.POSITION: gettext_lazy(
        "Each place of a design against the other places of its kind, on all of the units."
    ),
    Cut.MARK: gettext_lazy(
        "How often a mark is seen on a design, against the same mark on the other designs."
    ),
    Cut.CAUSE: gettext_lazy(
        "As it was closed: how often a cause is found on a design, against the same on the others."
    ),
    Cut.FILTER: gettext_lazy(
        "By the filter that was there at the time: a unit counts here and there when it changed."
    ),
    Cut.BATCH: gettext_lazy(
        "As the build sheets name it. Only what was found at the place of the part counts, against "
        "all other places of the kind. Years are of places: two bearings of a unit give two a year."
    ),
    Cut.ORIGIN: gettext_lazy(
        "As the build sheets say it, counted like the batches: by the places of a kind."
    ),
}


def two_figures(value: float) -> str:
    """Write a number with the two figures that a reader can use."""
    if value <= 0.0:
        return "0"
    return number_in_words(value, 1 - floor(log10(value)))


def years_in_words(years: float) -> str:
    """Write years; tenths where they are few."""
    return number_in_words(years, 0 if years >= 10 else 1)


def interval_in_words(found: Interval | None) -> str:
    """Write a figure and in brackets the ends of its interval; "" where there is none."""
    if found is None:
        return ""
    lower = two_figures(found.lower or 0.0)
    if found.upper is None:
        return _("%(lower)s or more") % {"lower": lower}
    ends = _("%(lower)s to %(upper)s") % {"lower": lower, "upper": two_figures(found.upper)}
    return ends if found.value is None else f"{two_figures(found.value)} ({ends})"


def _kind(cell: Cell) -> str:
    return str(PositionKind(cell.of).label)


def _design(cell: Cell) -> str:
    return cell.name


def _position(cell: Cell) -> str:
    return f"{cell.name}, {cell.of}"


def _mark(cell: Cell) -> str:
    return f"{DamageMark(cell.name).label}, {cell.of}"


def _cause(cell: Cell) -> str:
    return f"{Cause(cell.name).label}, {cell.of}"


def _filter(cell: Cell) -> str:
    return str(Filtration(cell.name).label)


def _batch(cell: Cell) -> str:
    return _("%(kind)s of batch %(batch)s") % {"kind": _kind(cell), "batch": cell.name}


def _origin(cell: Cell) -> str:
    if not cell.name:
        return _("%(kind)s, not written down where from") % {"kind": _kind(cell)}
    words = ORIGIN_WORDS.get(cell.name, cell.name)
    return f"{_kind(cell)}, {words}"


_CELLS: dict[Cut, Callable[[Cell], str]] = {
    Cut.DESIGN: _design,
    Cut.POSITION: _position,
    Cut.MARK: _mark,
    Cut.CAUSE: _cause,
    Cut.FILTER: _filter,
    Cut.BATCH: _batch,
    Cut.ORIGIN: _origin,
}


def cell_in_words(cut: Cut, cell: Cell) -> str:
    """Name a cell."""
    return _CELLS[cut](cell)


def found_in_words(row: Row) -> str:
    """Say how much was found on how many units."""
    if not row.own.findings:
        return ngettext("nothing on %(n)d unit", "nothing on %(n)d units", row.own.units) % {
            "n": row.own.units
        }
    findings = ngettext("%(n)d finding", "%(n)d findings", row.own.findings) % {
        "n": row.own.findings
    }
    return _("%(findings)s on %(some)d of %(units)d units") % {
        "findings": findings,
        "some": row.own.units_with,
        "units": row.own.units,
    }


def standing_in_words(row: Row) -> str:
    """Say how a row that stands out compares with the others."""
    assert row.own.rate is not None
    said = _("%(found)s, %(rate)s a year; on the others %(other)s.") % {
        "found": found_in_words(row),
        "rate": interval_in_words(row.own.rate),
        "other": interval_in_words(row.others.rate),
    }
    if row.ratio is None or row.ratio.value is None:
        return said
    times = _("%(ratio)s times as often as on the others.") % {
        "ratio": interval_in_words(row.ratio)
    }
    return f"{said} {times}"


def stands_in_words(row: Row) -> str:
    """Name what stands out; "" where the numbers carry nothing."""
    return "" if row.stands == Stands.NOT else str(row.stands.label)
