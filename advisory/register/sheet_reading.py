"""Reading what is typed on a build sheet, and asking where it is hard to believe."""

import re
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from advisory.common.errors import Question, Refused
from advisory.common.quantities import (
    LENGTH,
    Quantity,
    QuantityError,
    from_si,
    is_against_nominal,
    read_number,
    read_size,
    read_typed,
    to_si,
)
from advisory.people.models import Person
from advisory.register.enums import MeasuredQuantity
from advisory.register.models import Position
from advisory.register.sheet_fields import Entry, SheetField

LARGEST = 0.05  # m: no clearance, float or depth of wear is measured in more than this
LARGEST_SIZE = 5.0  # m
HARDEST = 72.0  # HRC
LONGEST_LINE, LONGEST_WORDS, LONGEST_FIGURE = 120, 4000, 40
MOST_READINGS = 400
# A figure so many times off the as-built limits was most likely typed in another unit: thou for
# hundredths of a millimetre are 2.54 off, thou for mm 25.4, inches for mm likewise.
UNLIKELY = 8.0
# A size so far off nominal is no undersize any more: 0.06 in on an inch and a half.
OFF_NOMINAL = 0.04
OTHER_UNITS = ("mm", "thou", "inch", "um")
NEVER_NOUGHT = (MeasuredQuantity.RUNNING_CLEARANCE, MeasuredQuantity.END_FLOAT)
_UNIT = re.compile(r"[A-Za-zµμ\"″]")
_GAPS = re.compile(r"[\s;]+")


@dataclass(frozen=True)
class Read:
    """What was typed: as it is kept, with its unit; and in SI where it is a figure or several."""

    text: str
    value: float | None = None
    values: tuple[tuple[float | None, ...], ...] = ()


class UnitQuestion(Question):
    """A figure that would be right in another unit; `meant` is how it would be written then."""

    def __init__(self, message: str, *, meant: str, field: str) -> None:
        super().__init__(message, field=field, code="unit_slip")
        self.meant = meant


def read_entry(
    field: SheetField, text: str, *, by: Person, position: Position | None, confirm: bool = False
) -> Read:
    """Read what was typed in a place of the sheet.

    Raises
    ------
    Refused
        For what makes no sense there; `Question` for what is hard to believe, unless confirmed.
    """
    text = text.strip()
    if not text:
        return Read("")
    try:
        return _READERS[field.entry](field, text, by, position, confirm)
    except QuantityError as error:
        raise Refused(error.message, field=field.name, code=error.code) from error


def _size(
    field: SheetField, text: str, by: Person, position: Position | None, confirm: bool
) -> Read:
    nominal = position.diameter if position is not None and field.entry is Entry.SIZE else None
    unit, small = _units(by)
    told = read_size(text, unit=unit, small_unit=small, nominal=nominal)
    if not 0 < told.si < LARGEST_SIZE and (nominal is None or told.si <= 0):
        raise Refused(
            _("A size is more than nought and less than 5 m. Check the number and its unit."),
            field=field.name,
            code="out_of_range",
        )
    if nominal is not None and not confirm:
        low, high = nominal * (1 - OFF_NOMINAL), nominal * (1 + OFF_NOMINAL)
        _ask_unless(low <= told.si <= high, field, text, told, (low, high), nominal)
    return Read(_with_unit(text, told.unit), told.si)


def _small(
    field: SheetField, text: str, by: Person, position: Position | None, confirm: bool
) -> Read:
    told = read_typed(text, LENGTH, by.small_length_unit)
    if told.si < 0 or (told.si == 0 and field.quantity in NEVER_NOUGHT):
        raise Refused(_("It must be more than nought."), field=field.name, code="not_positive")
    least = position.as_built_least if position is not None else None
    most = position.as_built_most if position is not None else None
    bounds = ((least or 0.0) / UNLIKELY, (most or 0.0) * UNLIKELY or LARGEST)
    if told.si and not confirm:
        _ask_unless(bounds[0] <= told.si <= bounds[1], field, text, told, bounds)
    if told.si > LARGEST:
        raise Refused(
            _("That is more than %(most)s. Check the number and its unit.")
            % {"most": f"{from_si(LARGEST, told.unit, LENGTH):.4g} {told.unit}"},
            field=field.name,
            code="too_large",
        )
    return Read(_with_unit(text, told.unit), told.si)


def _off(
    field: SheetField, text: str, by: Person, position: Position | None, confirm: bool
) -> Read:
    told = read_typed(text.lstrip("±+ "), LENGTH, by.small_length_unit)
    if not 0 < told.si < 1e-3:
        raise Refused(
            _("Enter how far the instrument may be off, more than nought, or leave it empty."),
            field=field.name,
            code="out_of_range",
        )
    return Read(_with_unit(text, told.unit), told.si)


def _roughness(
    field: SheetField, text: str, by: Person, position: Position | None, confirm: bool
) -> Read:
    told = read_typed(text, LENGTH, "um")
    if not 0 < told.si <= 100e-6:
        raise Refused(
            _("Ra lies above nought and below 100 µm. Check the number and its unit."),
            field=field.name,
            code="out_of_range",
        )
    return Read(_with_unit(text, told.unit), told.si)


def _hardness(
    field: SheetField, text: str, by: Person, position: Position | None, confirm: bool
) -> Read:
    value = read_number(re.sub(r"\s*HRC\s*$", "", text, flags=re.IGNORECASE))
    if not 0 < value <= HARDEST:
        raise Refused(
            _("Rockwell C goes up to 72. Enter the number that the tester shows."),
            field=field.name,
            code="out_of_range",
        )
    return Read(text[:LONGEST_FIGURE], value)


def _count(
    field: SheetField, text: str, by: Person, position: Position | None, confirm: bool
) -> Read:
    value = read_number(text, whole=True)
    if not 0 <= value <= 1000:
        raise Refused(_("Enter how many."), field=field.name, code="out_of_range")
    return Read(text[:LONGEST_FIGURE], value)


def _readings(
    field: SheetField, text: str, by: Person, position: Position | None, confirm: bool
) -> Read:
    """Read figures with spaces between, line by line; one unit behind the last counts for all."""
    lines = [line for line in text.splitlines() if line.strip()]
    figures, unit = _split_unit(lines[-1])
    lines[-1] = figures
    unit = unit or by.small_length_unit
    rows = tuple(tuple(_reading(one, unit) for one in _GAPS.split(line.strip())) for line in lines)
    if sum(map(len, rows)) > MOST_READINGS:
        raise Refused(_("That is more than 400 readings."), field=field.name)
    if field.entry is Entry.AROUND and any(None in row for row in rows):
        raise Refused(_("Write every reading around, without leaving one out."), field=field.name)
    return Read("\n".join([*lines[:-1], f"{figures.strip()} {unit}"]), values=rows)


def _choice(
    field: SheetField, text: str, by: Person, position: Position | None, confirm: bool
) -> Read:
    if text not in {value for value, _label in field.choices}:
        raise Refused(_("Choose one of them."), field=field.name)
    return Read(text)


def _line(
    field: SheetField, text: str, by: Person, position: Position | None, confirm: bool
) -> Read:
    most = LONGEST_LINE if field.entry is Entry.LINE else LONGEST_WORDS
    if len(text) > most:
        raise Refused(
            _("Use at most %(most)d letters.") % {"most": most}, field=field.name, code="too_long"
        )
    return Read(text)


def _day(
    field: SheetField, text: str, by: Person, position: Position | None, confirm: bool
) -> Read:
    try:
        return Read(date.fromisoformat(text).isoformat())
    except ValueError as error:
        raise Refused(
            _("Write the day as year-month-day, such as 2024-05-31."), field=field.name
        ) from error


def rows_of(text: str) -> tuple[tuple[float | None, ...], ...]:
    """Return the readings of a place that was read before, so that its unit stands in it."""
    figures, unit = _split_unit(text.replace("\n", " ; ").strip())
    if not unit:
        return ()
    return tuple(
        tuple(_reading(one, unit) for one in line.split()) for line in figures.split(" ; ")
    )


_READERS = {
    Entry.SIZE: _size,
    Entry.PLAIN_SIZE: _size,
    Entry.SMALL: _small,
    Entry.OFF: _off,
    Entry.ROUGHNESS: _roughness,
    Entry.HARDNESS: _hardness,
    Entry.COUNT: _count,
    Entry.AROUND: _readings,
    Entry.GRID: _readings,
    Entry.CHOICE: _choice,
    Entry.LINE: _line,
    Entry.WORDS: _line,
    Entry.DAY: _day,
}


def _units(by: Person) -> tuple[str, str]:
    return ("inch" if by.small_length_unit == "thou" else "mm", by.small_length_unit)


def _with_unit(text: str, unit: str) -> str:
    kept = text if _UNIT.search(text) else f"{text} {unit}"
    return kept[:LONGEST_FIGURE]


def _split_unit(line: str) -> tuple[str, str]:
    match = re.fullmatch(r"(?P<figures>.*?)\s*(?P<unit>[A-Za-zµμ]+)\s*", line)
    return (match["figures"], match["unit"]) if match else (line, "")


def _reading(text: str, unit: str) -> float | None:
    return None if text in {"-", "–", "—"} else to_si(read_number(text), unit, LENGTH)  # noqa: RUF001


def _ask_unless(
    likely: bool,
    field: SheetField,
    text: str,
    told: Quantity,
    bounds: tuple[float, float],
    nominal: float | None = None,
) -> None:
    """Ask about a figure that is far off, and offer the unit in which it would be right."""
    if likely:
        return
    base = nominal if nominal is not None and is_against_nominal(text) else 0.0
    for unit in OTHER_UNITS:
        if unit == told.unit:
            continue
        if bounds[0] <= base + to_si(told.value, unit, LENGTH) <= bounds[1]:
            sign = "+" if base and told.value > 0 else ""
            meant = f"{sign}{told.value:.10g} {unit}"
            raise UnitQuestion(
                _("That is far off what this design has here. Did you mean %(meant)s?")
                % {"meant": meant},
                meant=meant,
                field=field.name,
            )
    raise Question(
        _("That is far off what this design has here: %(value)s. Is it right?")
        % {"value": f"{from_si(told.si, told.unit, LENGTH):.6g} {told.unit}"},
        field=field.name,
        code="unlikely_size",
    )
