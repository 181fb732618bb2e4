"""How the lines of a logbook stand beside the readings that are there: new, known, doubtful."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import TextChoices
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.engineering.odometer import Instrument, Shown, questions_about
from advisory.people.clock import EARLIEST
from advisory.people.enums import DistanceUnit
from advisory.register.models import Odometer
from advisory.register.shown import in_figures
from advisory.usage.adapters import instrument_of, odometer_on
from advisory.usage.logbook_csv import Flaw, Line, Logbook
from advisory.usage.use import CarUse
from advisory.usage.words import question_in_words


class LineState(TextChoices):
    """What is to be done with a line."""

    NEW = "new", gettext_lazy("New")
    THERE = "there", gettext_lazy("There already")
    DOUBTFUL = "doubtful", gettext_lazy("Doubtful")
    UNREADABLE = "unreadable", gettext_lazy("Not readable")


@dataclass(frozen=True, slots=True)
class PreviewLine:
    """A line with its state, and why."""

    line: Line
    state: LineState
    why: str = ""


@dataclass(frozen=True)
class Preview:
    """All lines of a logbook, in the order of the file."""

    lines: tuple[PreviewLine, ...]

    def of(self, state: LineState) -> list[PreviewLine]:
        """Return the lines in one state."""
        return [line for line in self.lines if line.state == state]

    @property
    def doubtful(self) -> list[PreviewLine]:
        """The lines that ask for a word, and those that can't be read."""
        return [
            line for line in self.lines
            if line.state in (LineState.DOUBTFUL, LineState.UNREADABLE)
        ]  # fmt: skip

    @property
    def counts(self) -> dict[str, int]:
        """How many lines are in each state."""
        return {state.value: len(self.of(state)) for state in LineState}


FLAWS = {
    Flaw.NO_DATE: gettext_lazy("There is no date."),
    Flaw.DATE_UNREADABLE: gettext_lazy("The date cannot be read."),
    Flaw.NO_NUMBER: gettext_lazy("There is no number."),
    Flaw.NUMBER_UNREADABLE: gettext_lazy("That is no number an odometer can show."),
    Flaw.TOO_MANY_CELLS: gettext_lazy(
        "There are more cells than headings: perhaps a comma inside the number."
    ),
}


def preview_logbook(use: CarUse, logbook: Logbook, today: date) -> Preview:
    """Judge all lines of a logbook beside a car's readings, and beside one another."""
    known = {(row.odometer_id, row.date, row.shown) for row in use.rows}
    states: dict[int, PreviewLine] = {}
    fresh: dict[int, list[tuple[int, Line]]] = defaultdict(list)
    for place, line in enumerate(logbook.lines):
        if line.flaw is not None or line.date is None or line.shown is None:
            flaw = line.flaw or Flaw.NUMBER_UNREADABLE
            states[place] = PreviewLine(line, LineState.UNREADABLE, str(FLAWS[flaw]))
            continue
        odometer = odometer_on(use.odometers, line.date)
        if why := _impossible(line.date, line.shown, odometer, today):
            states[place] = PreviewLine(line, LineState.UNREADABLE, why)
        elif (odometer.pk, line.date, line.shown) in known:
            states[place] = PreviewLine(line, LineState.THERE)
        else:
            known.add((odometer.pk, line.date, line.shown))
            fresh[odometer.pk].append((place, line))
    for odometer in use.odometers:
        states |= _judged(use, odometer, fresh[odometer.pk], logbook.unit)
    return Preview(tuple(states[place] for place in range(len(logbook.lines))))


def vouched_for(use: CarUse, preview: Preview) -> tuple[list[Line], list[Line]]:
    """Return the new lines that are vouched for if the doubtful ones are right, and the rest.

    A doubtful line that is right can leave the next one doubtful in its turn: that one is vouched
    for as well, until all new lines agree.
    """
    rest = [line.line for line in preview.of(LineState.NEW)]
    vouched = [line.line for line in preview.of(LineState.DOUBTFUL)]
    while True:
        still = set()
        for odometer in use.odometers:
            new = [
                Shown(line.date.toordinal(), line.shown, confirmed=sure, key=line.number)
                for sure, lines in ((True, vouched), (False, rest))
                for line in lines
                if line.date is not None and line.shown is not None
                and odometer_on(use.odometers, line.date) == odometer
            ]  # fmt: skip
            asked = questions_about(_instrument(use, odometer), new)
            still |= {shown.key for shown, question in zip(new, asked, strict=True) if question}
        if not still:
            return vouched, rest
        vouched += [line for line in rest if line.number in still]
        rest = [line for line in rest if line.number not in still]


def _instrument(use: CarUse, odometer: Odometer) -> Instrument:
    rows = [row for row in use.rows if row.odometer_id == odometer.pk]
    told = [fact for fact in use.told if odometer_on(use.odometers, fact.date) == odometer]
    return instrument_of(odometer, rows, told)


def _impossible(day: date, shown: int, odometer: Odometer, today: date) -> str:
    if day > today:
        return _("That day has not come yet.")
    if day < EARLIEST:
        return _("That is before there were motor cars.")
    if shown >= 10**odometer.digits:
        return _("The odometer has %(digits)s figures and cannot show %(shown)s.") % {
            "digits": odometer.digits,
            "shown": in_figures(shown),
        }
    return ""


def _judged(
    use: CarUse, odometer: Odometer, fresh: Sequence[tuple[int, Line]], heading_unit: str | None
) -> dict[int, PreviewLine]:
    new = [Shown(line.date.toordinal(), line.shown or 0) for _place, line in fresh if line.date]
    questions = questions_about(_instrument(use, odometer), new)
    judged = {}
    for (place, line), shown, question in zip(fresh, new, questions, strict=True):
        unit = line.unit or heading_unit
        if question is not None:
            words = question_in_words(question, shown, odometer.unit)
            judged[place] = PreviewLine(line, LineState.DOUBTFUL, words)
        elif unit is not None and unit != odometer.unit:
            judged[place] = PreviewLine(line, LineState.DOUBTFUL, _other_unit(unit, odometer.unit))
        else:
            judged[place] = PreviewLine(line, LineState.NEW)
    return judged


def _other_unit(written: str, counts: str) -> str:
    return _("The logbook says %(written)s, the odometer counts %(counts)s.") % {
        "written": DistanceUnit(written).label,
        "counts": DistanceUnit(counts).label,
    }
