"""Writing down what an odometer showed, and putting a mistyped number right."""

from dataclasses import replace
from datetime import date
from functools import partial

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Question, Refused
from advisory.engineering import odometer as counting
from advisory.engineering.odometer import Doubt, Shown, question_about
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.actions import correct_fitting_readings
from advisory.register.models import Car, Odometer
from advisory.register.shown import in_figures
from advisory.usage.adapters import ReadingRow, Told, instrument_of, odometer_on
from advisory.usage.enums import ReadingSource
from advisory.usage.models import Reading
from advisory.usage.queries import car_use
from advisory.usage.signals import usage_changed
from advisory.usage.use import CarUse
from advisory.usage.words import question_in_words, round_in_words


@transaction.atomic
def record_reading(
    *,
    car: Car,
    date: date,
    shown: int,
    by: Person,
    note: str = "",
    source: str = ReadingSource.TYPED,
    confirm: bool = False,
    went_round: bool = False,
) -> Reading:
    """Write down what a car's odometer showed on a day; the same once more changes nothing.

    `confirm` says that the number is right though it is not believed; `went_round` that the
    instrument has gone past its last number since the reading before.

    Raises
    ------
    Refused
        For a day to come, or a number that the instrument can't show; `Question` for one that
        nobody drives, or that goes backwards.
    """
    rules.require(by, Permission.KEEP_USE, car)
    return keep_reading(
        car=car, date=date, shown=shown, by=by, note=note, source=source, confirm=confirm,
        went_round=went_round,
    )  # fmt: skip


def keep_reading(
    *,
    car: Car,
    date: date,
    shown: int,
    by: Person,
    note: str = "",
    source: str = ReadingSource.TYPED,
    confirm: bool = False,
    went_round: bool = False,
) -> Reading:
    """Write down a reading for an action that has asked the rules already, in its transaction."""
    require_past_day(date, by=by)
    car = Car.objects.select_for_update().get(pk=car.pk)
    use = car_use(car)
    odometer = odometer_on(use.odometers, date)
    require_shown(odometer, shown)
    there = Reading.objects.filter(odometer=odometer, date=date, shown=shown).first()
    if there is not None:
        return there
    new = Shown(date.toordinal(), shown, confirmed=confirm, went_round=went_round)
    ask_about(use, odometer, new)
    reading = Reading.objects.create(
        odometer=odometer,
        date=date,
        shown=shown,
        note=note.strip()[:300],
        source=source,
        confirmed=confirm,
        went_round=went_round,
        entered_by=by,
    )
    audit.record("record_reading", reading, by=by, car=car.pk, date=str(date), shown=shown,
                 source=str(source), confirmed=confirm, went_round=went_round)  # fmt: skip
    transaction.on_commit(partial(usage_changed.send, Car, car=car))
    return reading


@transaction.atomic
def correct_reading(
    *,
    reading: Reading,
    by: Person,
    date: date,
    shown: int,
    note: str | None = None,
    confirm: bool = False,
    went_round: bool = False,
) -> Reading:
    """Put a mistyped date or number right; a fitting that told it is put right with it.

    Raises
    ------
    Refused
        As for a new reading.
    """
    rules.require(by, Permission.KEEP_USE, reading)
    require_past_day(date, by=by)
    car = Car.objects.select_for_update().get(pk=reading.odometer.car_id)
    reading = Reading.objects.get(pk=reading.pk)
    before = {"date": str(reading.date), "shown": reading.shown}
    use = _without(car_use(car), reading)
    odometer = odometer_on(use.odometers, date)
    require_shown(odometer, shown)
    ask_about(use, odometer, Shown(date.toordinal(), shown, confirm, went_round))
    if (date, shown) != (reading.date, reading.shown):
        right = shown if date == reading.date else None
        correct_fitting_readings(
            car=car, date=reading.date, wrong=reading.shown, right=right, by=by
        )
    same = Reading.objects.filter(odometer=odometer, date=date, shown=shown)
    same.exclude(pk=reading.pk).delete()
    reading.odometer, reading.date, reading.shown = odometer, date, shown
    reading.confirmed, reading.went_round = confirm, went_round
    if note is not None:
        reading.note = note.strip()[:300]
    reading.save()
    audit.record("correct_reading", reading, by=by, car=car.pk, before=before, date=str(date),
                 shown=shown, confirmed=confirm, went_round=went_round)  # fmt: skip
    transaction.on_commit(partial(usage_changed.send, Car, car=car))
    return reading


@transaction.atomic
def delete_reading(*, reading: Reading, by: Person) -> None:
    """Take out a reading that should not be there; the trail keeps what it said."""
    rules.require(by, Permission.KEEP_USE, reading)
    car = Car.objects.select_for_update().get(pk=reading.odometer.car_id)
    correct_fitting_readings(car=car, date=reading.date, wrong=reading.shown, right=None, by=by)
    audit.record("delete_reading", reading, by=by, car=car.pk, date=str(reading.date),
                 shown=reading.shown, note=reading.note)  # fmt: skip
    Reading.objects.filter(pk=reading.pk).delete()
    transaction.on_commit(partial(usage_changed.send, Car, car=car))


def require_shown(odometer: Odometer, shown: int, *, field: str = "shown") -> None:
    """Refuse a number that the instrument can't show.

    Raises
    ------
    Refused
        Saying what to enter instead.
    """
    if shown < 0:
        raise Refused(
            _("An odometer never shows less than nought. Enter the number it shows."),
            field=field,
            code="negative",
        )
    if shown >= 10**odometer.digits:
        raise Refused(
            _(
                "This odometer has %(digits)s figures, so it cannot show %(shown)s. Leave out the"
                " tenths; or, if it has more figures, say so on the page of the odometer."
            )
            % {"digits": odometer.digits, "shown": in_figures(shown)},
            field=field,
            code="too_many_digits",
        )


class ReadingQuestion(Question):
    """A number that is not believed; it may be that of an instrument that has gone round."""

    may_have_gone_round = False


def ask_about(use: CarUse, odometer: Odometer, new: Shown) -> None:
    """Ask if a number is not believed beside the readings that are there.

    Raises
    ------
    ReadingQuestion
        Its code says why: `goes_backwards` or `jump_nobody_drives`. That it has gone round is
        taken for an answer where somebody may have driven so far.
    """
    told = [fact for fact in use.told if odometer_on(use.odometers, fact.date) == odometer
            and (fact.date.toordinal(), fact.shown) != (new.day, new.shown)]  # fmt: skip
    rows = [row for row in use.rows if row.odometer_id == odometer.pk]
    instrument = instrument_of(odometer, rows, told)
    # what it showed when it was fitted counts as read
    if instrument.fitted_on is not None and instrument.shown_when_fitted is not None:
        start = Shown(instrument.fitted_on, instrument.shown_when_fitted, confirmed=True)
        instrument = replace(instrument, readings=(*instrument.readings, start))
    if new.went_round and not new.confirmed:
        unsaid = question_about(instrument, new._replace(went_round=False))
        if unsaid is not None and unsaid.round_metres and not unsaid.may_have_gone_round:
            raise _asked_back(unsaid, round_in_words(unsaid, new, odometer.unit))
    asked = question_about(instrument, new)
    if asked is not None:
        raise _asked_back(asked, question_in_words(asked, new, odometer.unit))


def _asked_back(asked: counting.Question, words: str) -> ReadingQuestion:
    if asked.doubt is Doubt.GOES_BACKWARDS:
        ending = _("Enter it again, or say what happened.")
    else:
        ending = _("Enter it again, or say that it is right.")
    question = ReadingQuestion(f"{words} {ending}", field="shown", code=asked.doubt.value)
    question.may_have_gone_round = asked.may_have_gone_round
    return question


def _without(use: CarUse, reading: Reading) -> CarUse:
    rows: tuple[ReadingRow, ...] = tuple(row for row in use.rows if row.pk != reading.pk)
    told: tuple[Told, ...] = tuple(
        fact for fact in use.told if (fact.date, fact.shown) != (reading.date, reading.shown)
    )
    return replace(use, rows=rows, told=told)
