"""The only door to the engineering of odometers and forecasts: rows in, distances and days out."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from advisory.engineering import odometer as counting
from advisory.engineering import usage_forecast as forecasting
from advisory.register.models import Odometer
from advisory.usage.models import Reading


class ReadingRow(NamedTuple):
    """A reading as it comes from the database."""

    odometer_id: int
    pk: int
    date: date
    shown: int
    confirmed: bool
    went_round: bool
    note: str = ""


def row_of(reading: Reading) -> ReadingRow:
    """Return what counts of a reading."""
    return ReadingRow(*(getattr(reading, name) for name in ReadingRow._fields))


@dataclass(frozen=True)
class Told:
    """A number told with a fitting, of the odometer that was there on that day."""

    date: date
    shown: int


def metres_per_count(unit: str) -> float:
    """Return the length of one count of an odometer [m]."""
    return counting.METRES_PER_COUNT[unit]


def odometer_on(odometers: Sequence[Odometer], day: date) -> Odometer:
    """Return the instrument that was in the car on a day; on the day of a change, the new one."""
    there = odometers[0]
    for odometer in odometers[1:]:
        if odometer.fitted_on is not None and odometer.fitted_on <= day:
            there = odometer
    return there


def shown_of(row: ReadingRow) -> counting.Shown:
    """Return a reading as engineering wants it."""
    return counting.Shown(row.date.toordinal(), row.shown, row.confirmed, row.went_round, row.pk)


def instrument_of(
    odometer: Odometer, rows: Iterable[ReadingRow], told: Iterable[Told] = ()
) -> counting.Instrument:
    """Return an odometer with its readings as engineering wants it."""
    readings = [shown_of(row) for row in rows]
    there = {(reading.day, reading.shown) for reading in readings}
    readings += [
        counting.Shown(fact.date.toordinal(), fact.shown)
        for fact in told
        if (fact.date.toordinal(), fact.shown) not in there
    ]
    return counting.Instrument(
        metres_per_count=metres_per_count(odometer.unit),
        digits=odometer.digits,
        readings=tuple(readings),
        fitted_on=odometer.fitted_on.toordinal() if odometer.fitted_on else None,
        shown_when_fitted=odometer.shown_when_fitted,
        predecessor_showed=odometer.predecessor_showed,
    )


def trace_of(
    odometers: Sequence[Odometer], rows: Iterable[ReadingRow], told: Iterable[Told] = ()
) -> counting.Trace:
    """Work out the distance at every reading of a car."""
    if not odometers:
        return counting.trace([])
    by_odometer: dict[int, list[ReadingRow]] = {odometer.pk: [] for odometer in odometers}
    for row in rows:
        by_odometer[row.odometer_id].append(row)
    facts: dict[int, list[Told]] = {odometer.pk: [] for odometer in odometers}
    for fact in told:
        facts[odometer_on(odometers, fact.date).pk].append(fact)
    return counting.trace(
        [instrument_of(row, by_odometer[row.pk], facts[row.pk]) for row in odometers]
    )


def use_of(
    trace: counting.Trace,
    lay_ups: Iterable[tuple[date, date | None]],
    expected_annual: float | None,
    today: date,
    season_ahead: timedelta,
) -> forecasting.Use | None:
    """Return what is known of a car's use on its last stretch; None without a reading.

    Its days are those of the same season in the northern half of the world: `season_ahead` on.
    """
    line = trace.believed
    if not line:
        return None
    stretch = [point for point in line if point.stretch == line[-1].stretch]
    ahead = season_ahead.days
    return forecasting.Use(
        days=tuple(point.reading.day + ahead for point in stretch),
        metres=tuple(point.metres or 0.0 for point in stretch),
        today=today.toordinal() + ahead,
        lay_ups=tuple(
            (begun.toordinal() + ahead, ended.toordinal() + ahead if ended else None)
            for begun, ended in lay_ups
        ),
        expected_annual=expected_annual,
    )
