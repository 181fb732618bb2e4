"""What stands against running a unit: what was found and not put right, what the workshop said.

A figure stands until the unit is rebuilt, or the same place is measured again and is well, whoever
answered and whether or not its finding was closed. What was seen and not measured stands until the
unit is rebuilt or its finding is closed; a word against running until it is taken back or closed.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from advisory.findings.enums import Instruction, Judgement
from advisory.findings.models import AskedMeasurement, Finding, MeasuredValue
from advisory.people.clock import day_of
from advisory.register.enums import BuildState
from advisory.register.models import Build, Position, Unit

# What was measured that says so; GOOD or WATCH at the same place later takes it back.
HALTS = frozenset({Judgement.STOP, Judgement.ASK})
# What the workshop says against running it, and how grave that is.
TOLD: dict[str, Judgement] = {
    Instruction.STOP: Judgement.STOP,
    Instruction.GENTLY: Judgement.ASK,
}
# What is read with a row, so that what stands is told without a further query.
WITH_FINDINGS = ("position", "unit__design", "unit__owner", "unit__workshop")
WITH_VALUES = ("measuring", "position", "asked__answer__finding__unit__design")


@dataclass(frozen=True)
class Standing:
    """One figure, one mark, or one word of the workshop, that stands against running a unit."""

    finding: Finding
    position: Position | None
    judgement: Judgement
    day: date
    # a figure as it was typed; "" where a mark alone says so
    as_typed: str = ""
    # the workshop said so, whatever was measured
    told: bool = False

    @property
    def stop(self) -> bool:
        """Whether it must not turn, and is not only to be asked about."""
        return self.judgement == Judgement.STOP

    @property
    def measured(self) -> bool:
        """Whether a figure says so, not only what was seen."""
        return bool(self.as_typed) or self.finding.value is not None

    @property
    def what(self) -> str:
        """The figure, or the trade's name of what was seen."""
        return self.as_typed or (self.finding.get_mark_display() if self.finding.mark else "")


def rebuilt_on(units: Iterable[Unit]) -> dict[int, date]:
    """Return by unit the day on which it was built last, where that is signed."""
    return dict(
        Build.objects.filter(unit__in=list(units), state=BuildState.SIGNED)
        .order_by("built_on")
        .values_list("unit_id", "built_on")
    )


def standing_among(
    findings: Iterable[Finding], values: Iterable[MeasuredValue], rebuilt: Mapping[int, date]
) -> dict[int, list[Standing]]:
    """Return by unit what of these findings and values stands against it, gravest first.

    Of a unit that `rebuilt` does not name all that was found counts. Findings come with
    `WITH_FINDINGS`, the values (those of `own_values`) with `WITH_VALUES`.
    """
    rows = list(findings)
    standing: dict[int, list[Standing]] = defaultdict(list)
    for place in _latest(rows, values):
        since = rebuilt.get(place.finding.unit_id)
        if since is None or place.day >= since:
            standing[place.finding.unit_id].append(place)
    for row in rows:
        judgement = TOLD.get(row.instruction)
        if judgement is not None and row.instructed_at is not None:
            day = day_of(row.instructed_at, row.unit.owner)
            word = Standing(row, row.position, judgement, day, told=True)
            standing[row.unit_id].append(word)
    return {
        unit_id: sorted(found, key=lambda one: (not one.stop, one.day, one.finding.pk))
        for unit_id, found in standing.items()
    }


@dataclass(frozen=True)
class _Told:
    """One judged figure at a place; `stands` is None where it is well."""

    day: date
    order: tuple[int, int]
    place: tuple[int, int | None, str, str]
    stands: Standing | None


def _latest(findings: Iterable[Finding], values: Iterable[MeasuredValue]) -> Iterable[Standing]:
    """Return what was measured last at each place; of one day, what an owner measured last."""
    told = [_of_finding(row) for row in findings if row.judgement != Judgement.UNJUDGED]
    judged = [row for row in values if row.judgement != Judgement.UNJUDGED]
    told += [one for row in judged if (one := _of_value(row)) is not None]
    latest = {one.place: one for one in sorted(told, key=lambda one: (one.day, one.order))}
    return [one.stands for one in latest.values() if one.stands is not None]


def _of_finding(row: Finding) -> _Told:
    judgement = Judgement(row.judgement)
    # a mark was dealt with where the workshop closed it; a figure needs a better one
    mark = row.mark if row.is_open else ""
    dealt_with = row.value is None and not row.is_open
    stands = Standing(row, row.position, judgement, row.seen_on, row.as_typed)
    place = (row.unit_id, row.position_id, row.quantity, mark)
    bad = judgement in HALTS and not dealt_with
    return _Told(row.seen_on, (0, row.pk), place, stands if bad else None)


def _of_value(row: MeasuredValue) -> _Told | None:
    place = (row.measuring.unit_id, row.position_id, row.quantity, "")
    day, order, judgement = row.measuring.measured_on, (1, row.pk), Judgement(row.judgement)
    if judgement not in HALTS:
        return _Told(day, order, place, None)
    asked: AskedMeasurement | None = getattr(row, "asked", None)
    if asked is None:
        return None  # its finding is gone: it leads nowhere, and takes nothing back
    finding = asked.answer.finding
    return _Told(day, order, place, Standing(finding, row.position, judgement, day, row.as_typed))
