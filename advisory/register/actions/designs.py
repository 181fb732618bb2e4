"""Describing a kind of unit; a version that units were built to stays as it is."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Question, Refused
from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.register.actions.positions import PositionData, require_number, resolved
from advisory.register.enums import DesignedFeed, DesignedFiltration, UnitKind
from advisory.register.models import (
    Build,
    Design,
    DismantlingStep,
    MaintenanceInstruction,
    Position,
)

LONGEST_DATUM = 120


@dataclass(frozen=True, kw_only=True)
class DesignData:
    """What is said of a design, but for its name and positions."""

    kind: str
    description: str = ""
    speed_ratio: float = 1.0
    engine_speed: float | None = None
    sump_volume: float | None = None
    lubricant_code: str = ""
    oil_feed: str = ""
    oil_filtration: str = ""
    level_datum: str = ""


@transaction.atomic
def create_design(
    *,
    by: Person,
    workshop: Organisation,
    name: str,
    positions: Sequence[PositionData],
    confirm: bool = False,
    based_on: Design | None = None,
    **said: object,
) -> Design:
    """Describe a kind of unit; under a name that is there already it becomes the next version.

    `said` is what `DesignData` has. From a design that it is based on it takes the instructions
    and the order of dismantling along.

    Raises
    ------
    Refused
        For a field that makes no sense (a position's is named `positions-<number>-<field>`);
        `Question` before a further version.
    """
    rules.require(by, Permission.REGISTER_UNIT, workshop)
    if based_on is not None:
        rules.require(by, Permission.VIEW_DESIGN, based_on)
    name, data, rows = _checked(name, positions, said)
    versions = workshop.designs.filter(name=name).aggregate(last=Max("version"))["last"] or 0
    if versions and not confirm:
        raise Question(
            _("You have a design of this name. Keep this one as its version %(version)s?")
            % {"version": versions + 1},
            field="name",
            code="design_exists",
        )
    return _make(by, workshop, name, versions + 1, data, rows, based_on)


@transaction.atomic
def change_design(
    *, design: Design, by: Person, name: str, positions: Sequence[PositionData], **said: object
) -> Design:
    """Change a design that no unit stands on; of one that units were built to make a new version.

    Return the design that now says so: itself, or its next version. Under another name the next
    version starts the count of that name anew.

    Raises
    ------
    Refused
        As `create_design`.
    """
    rules.require(by, Permission.WRITE_DESIGN, design)
    design = Design.objects.select_for_update(of=("self",)).get(pk=design.pk)
    assert design.workshop is not None
    name, data, rows = _checked(name, positions, said)
    others = design.workshop.designs.filter(name=name)
    if stands_fast(design):
        version = (others.aggregate(last=Max("version"))["last"] or 0) + 1
        return _make(by, design.workshop, name, version, data, rows, design)
    if others.filter(version=design.version).exclude(pk=design.pk).exists():
        raise Refused(
            _("You have a design of this name and version. Give this one another name."),
            field="name",
            code="design_exists",
        )
    design.name = name
    for field, value in vars(data).items():
        setattr(design, field, value)
    design.save()
    design.positions.all().delete()
    _add_positions(design, rows)
    audit.record("change_design", design, by=by, version=design.version, positions=len(rows))
    return design


def stands_fast(design: Design) -> bool:
    """Say whether units stand on this version, so that it is not changed any more."""
    return design.units.exists() or Build.objects.filter(design=design).exists()


def _checked(
    name: str, positions: Sequence[PositionData], said: dict[str, object]
) -> tuple[str, DesignData, list[PositionData]]:
    name = name.strip()
    if not name:
        raise Refused(_("Give the design a name that your fitters know it by."), field="name")
    data = DesignData(**said)  # type: ignore[arg-type]
    if data.kind not in UnitKind.values:
        raise Refused(_("Choose what kind of unit it is."), field="kind")
    if data.oil_feed not in ("", *DesignedFeed.values):
        raise Refused(_("Choose how oil reaches the bearings."), field="oil_feed")
    if data.oil_filtration not in ("", *DesignedFiltration.values):
        raise Refused(_("Choose what filters the oil."), field="oil_filtration")
    if len(data.level_datum) > LONGEST_DATUM:
        raise Refused(_("Use at most 120 letters."), field="level_datum")
    require_number("speed_ratio", data.speed_ratio, above=0, at_most=20)
    require_number("engine_speed", data.engine_speed, above=0, at_most=500)
    require_number("sump_volume", data.sump_volume, above=0, at_most=1)
    if not positions:
        raise Refused(_("Enter at least one position."), field="positions", code="no_position")
    rows = [resolved(row, f"positions-{number}-") for number, row in enumerate(positions)]
    return name, data, rows


def _make(
    by: Person,
    workshop: Organisation,
    name: str,
    version: int,
    data: DesignData,
    rows: Sequence[PositionData],
    based_on: Design | None,
) -> Design:
    said = {**vars(data), "description": data.description.strip()}
    design = Design.objects.create(
        workshop=workshop, name=name, version=version, based_on=based_on, **said
    )
    # there is no design to ask about any earlier; refused here, it is undone with all the rest
    rules.require(by, Permission.WRITE_DESIGN, design)
    _add_positions(design, rows)
    if based_on is not None:
        _take_along(based_on, design)
    audit.record(
        "create_design",
        design,
        by=by,
        version=version,
        positions=len(rows),
        based_on=based_on.pk if based_on else None,
    )
    return design


def _add_positions(design: Design, rows: Sequence[PositionData]) -> None:
    Position.objects.bulk_create(
        Position(design=design, order=order, **vars(row)) for order, row in enumerate(rows, start=1)
    )


def _take_along(source: Design, design: Design) -> None:
    """Copy instructions and the order of dismantling to a design that came from another."""
    instructions = list(source.instructions.all())
    steps = list(source.dismantling.all())
    for instruction in instructions:
        instruction.pk, instruction.design = None, design
    for step in steps:
        step.pk, step.design = None, design
    MaintenanceInstruction.objects.bulk_create(instructions)
    DismantlingStep.objects.bulk_create(steps)
