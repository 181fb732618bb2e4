"""Taking a workshop's old records in: looked through by doing it and undoing it; all or nothing."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from itertools import groupby

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.register.actions.builds import discard_build, record_measurement, start_build
from advisory.register.actions.entries import write_entry
from advisory.register.actions.signing import sign_build
from advisory.register.actions.units import add_unit
from advisory.register.models import Build, Design, Position, Unit
from advisory.register.records_csv import OldRecords, RecordLine


@dataclass(frozen=True)
class LineProblem:
    """What stands against one line."""

    line: RecordLine
    message: str


@dataclass
class TakenIn:
    """What an import does, or did: how much, and what stands against it."""

    units: int = 0
    builds: int = 0
    sizes: int = 0
    problems: list[LineProblem] = field(default_factory=list)


def look_through(*, workshop: Organisation, records: OldRecords, by: Person, sign: bool) -> TakenIn:
    """Say what an import would do and what stands against it, by doing it and undoing it all."""
    with transaction.atomic():
        done = _take_in(workshop, records, by, sign=sign)
        transaction.set_rollback(True)
    return done


def import_records(
    *, workshop: Organisation, records: OldRecords, by: Person, sign: bool, name: str = ""
) -> TakenIn:
    """Take old records in: units with their sheets, signed at their day or left to be signed.

    A unit that is on the books already is left as it is, and stands against the import: no signed
    sheet is ever touched.

    Raises
    ------
    Refused
        While anything stands against it; nothing is taken in then.
    """
    with transaction.atomic():
        done = _take_in(workshop, records, by, sign=sign)
        if done.problems:
            raise Refused(
                _("%(n)d lines have to be mended first. Nothing was taken in.")
                % {"n": len(done.problems)},
                code="lines_to_mend",
            )
        audit.record("import_records", workshop, by=by, name=name, units=done.units,
                     builds=done.builds, sizes=done.sizes, signed=sign)  # fmt: skip
    return done


def _take_in(workshop: Organisation, records: OldRecords, by: Person, *, sign: bool) -> TakenIn:
    rules.require(by, Permission.REGISTER_UNIT, workshop)
    done = TakenIn(problems=[LineProblem(line, line.flaw) for line in records.flaws])
    designs = _designs(workshop, by)
    units: dict[str, Unit] = {}
    sound = [line for line in records.lines if not line.flaw]
    ordered = sorted(sound, key=lambda line: (line.built_on or date.min, line.serial))
    for (_day, serial), group in groupby(ordered, key=lambda line: (line.built_on, line.serial)):
        lines = list(group)
        try:
            with transaction.atomic():
                there = units.get(serial)
                unit = there or _unit(workshop, lines[0], designs, by)
                _build(unit, lines, by, done, sign=sign)
            # only now does it stay: a refusal takes a unit made for this sheet back with it
            units[serial] = unit
            done.units += there is None
            done.builds += 1
        except Refused as refused:
            done.problems.append(LineProblem(lines[0], refused.message))
    done.problems.sort(key=lambda problem: problem.line.number)
    return done


def _designs(workshop: Organisation, by: Person) -> dict[str, Design]:
    """Return the designs that a workshop may build to, by name; the newest version counts."""
    rows = rules.scope(by, Permission.VIEW_DESIGN, Design.objects.order_by("version", "pk"))
    shared = {row.name.casefold(): row for row in rows if row.workshop_id is None}
    own = {row.name.casefold(): row for row in rows if row.workshop_id == workshop.pk}
    return shared | own


def _unit(workshop: Organisation, line: RecordLine, designs: dict[str, Design], by: Person) -> Unit:
    if Unit.objects.filter(workshop=workshop, serial=line.serial).exists():
        raise Refused(
            _("Unit %(serial)s is on the books already; an import changes none of its sheets.")
            % {"serial": line.serial}
        )
    design = designs.get(line.design.casefold())
    if design is None:
        raise Refused(_("You have no design called “%(name)s”.") % {"name": line.design})
    return add_unit(by=by, design=design, workshop=workshop, serial=line.serial, name=line.name)


def _build(
    unit: Unit, lines: Sequence[RecordLine], by: Person, done: TakenIn, *, sign: bool
) -> None:
    day = lines[0].built_on
    assert day is not None
    build = start_build(unit=unit, by=by, built_on=day, new_white_metal=True)
    positions = {row.name.casefold(): row for row in unit.design.positions.all()}
    whole = True
    for line in lines:
        if not line.size and not line.batch:
            continue
        try:
            with transaction.atomic():
                _write(build, positions.get(line.position.casefold()), line, by)
                done.sizes += bool(line.size)
        except Refused as refused:
            done.problems.append(LineProblem(line, refused.message))
            whole = False
    if sign and not whole:
        # what is wrong with this sheet is no fault of the unit's later ones
        discard_build(build=build, by=by)
    elif sign:
        noon = datetime.combine(day, time(12), UTC)
        sign_build(build=build, by=by, confirm=True, at=noon)


def _write(build: Build, position: Position | None, line: RecordLine, by: Person) -> None:
    if position is None:
        raise Refused(_("Its design has no position “%(name)s”.") % {"name": line.position})
    if line.size:
        record_measurement(build=build, position=position, by=by, typed=line.size)
    if line.batch:
        write_entry(build=build, by=by, position=position, name="batch", text=line.batch)
