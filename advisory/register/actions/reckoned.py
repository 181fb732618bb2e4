"""The record's own figures, kept in step with what is typed on the sheet."""

from django.utils.translation import gettext as _

from advisory.register.adapters import Measured, fit_of, journal_undersize
from advisory.register.enums import MeasuredQuantity
from advisory.register.models import Build, BuildMeasurement, Position
from advisory.register.sheet import PositionSheet, Sheet, sheet_of
from advisory.register.sheet_fields import Gauge

LONGEST_INSTRUMENT, LONGEST_TYPED = 80, 40


def keep_figures(build: Build, position: Position | None) -> None:
    """Write the figures of a position anew; of all of them after a change at the head."""
    sheet = sheet_of(build)
    for one in sheet.positions:
        if position is None or one.position.pk == position.pk:
            _keep_at(sheet, one)


def _keep_at(sheet: Sheet, one: PositionSheet) -> None:
    for place in one.places:
        quantity = place.field.quantity
        if quantity is None or place.entry is None:
            continue
        measured = one.figures.measured(place.field.name, place.field.gauge or Gauge.OTHER)
        _put(sheet, one, quantity, measured, place.text, reckoned=False)
    if one.position.planes:
        pair = fit_of(one.position, one.figures)
        fits = pair.clearance if pair is not None and pair.clearance.value > 0 else None
        _put(sheet, one, MeasuredQuantity.RUNNING_CLEARANCE, fits, _("bore less journal"),
             reckoned=True)  # fmt: skip
        below = journal_undersize(one.position, one.figures)
        _put(sheet, one, MeasuredQuantity.UNDERSIZE, below, _("nominal less journal"),
             reckoned=True)  # fmt: skip
    found = next((figure for figure in one.derived if figure.name == "run_out"), None)
    turned = Measured(found.value, found.uncertainty) if found else None
    _put(sheet, one, MeasuredQuantity.RUN_OUT, turned, _("readings around"), reckoned=True)


def _put(
    sheet: Sheet,
    one: PositionSheet,
    quantity: MeasuredQuantity,
    figure: Measured | None,
    words: str,
    *,
    reckoned: bool,
) -> None:
    there = BuildMeasurement.objects.filter(
        build=sheet.build, position=one.position, quantity=quantity
    )
    if figure is None:
        # what a program wrote straight into the record is not the sheet's to take out
        (there.filter(reckoned=True) if reckoned else there).delete()
        return
    row = there.first() or BuildMeasurement(
        build=sheet.build, position=one.position, quantity=quantity
    )
    same = row.pk is not None and not reckoned and row.as_typed == words
    row.value, row.as_typed, row.reckoned = figure.value, words[:LONGEST_TYPED], reckoned
    instrument = "" if reckoned else _text(sheet, "other_with")
    # a program may have told more of this very figure than the sheet's head does
    if figure.uncertainty is not None or not same:
        row.uncertainty = figure.uncertainty
    if instrument or not same:
        row.instrument = instrument[:LONGEST_INSTRUMENT]
    row.save()


def _text(sheet: Sheet, name: str) -> str:
    return next((place.text for place in sheet.head if place.field.name == name), "")
