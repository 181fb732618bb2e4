"""Describing a kind of unit, and what the workshop says of its maintenance."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Question, Refused
from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.register.enums import BearingMaterial, PositionKind, UnitKind, WorkKind
from advisory.register.models import Design, MaintenanceInstruction, Position


@dataclass(frozen=True, kw_only=True)
class PositionData:
    """One position as it is put into a design; sizes in metres, load in newtons."""

    kind: str
    name: str
    diameter: float | None = None
    length: float | None = None
    material: str = ""
    surface_roughness: float | None = None
    load: float | None = None
    as_built_least: float | None = None
    as_built_most: float | None = None
    look_into_above: float | None = None
    wear_limit: float | None = None


SIZES = ("diameter", "length", "surface_roughness", "load")
LIMITS = ("as_built_least", "as_built_most", "look_into_above", "wear_limit")
LARGEST = {"diameter": 2.0, "length": 20.0, "surface_roughness": 1e-3, "load": 1e7}
LARGEST_LIMIT = 0.05  # m: no clearance, float or depth of wear is measured in more than this


@transaction.atomic
def create_design(
    *,
    by: Person,
    workshop: Organisation,
    kind: str,
    name: str,
    positions: Sequence[PositionData],
    description: str = "",
    speed_ratio: float = 1.0,
    engine_speed: float | None = None,
    sump_volume: float | None = None,
    lubricant_code: str = "",
    confirm: bool = False,
) -> Design:
    """Describe a kind of unit; under a name that is there already it becomes the next version.

    Raises
    ------
    Refused
        For a field that makes no sense (a position's is named `positions-<number>-<field>`);
        `Question` before a further version.
    """
    rules.require(by, Permission.REGISTER_UNIT, workshop)
    name = name.strip()
    if not name:
        raise Refused(_("Give the design a name that your fitters know it by."), field="name")
    if kind not in UnitKind.values:
        raise Refused(_("Choose what kind of unit it is."), field="kind")
    _require_number("speed_ratio", speed_ratio, above=0, at_most=20)
    _require_number("engine_speed", engine_speed, above=0, at_most=500)
    _require_number("sump_volume", sump_volume, above=0, at_most=1)
    if not positions:
        raise Refused(_("Enter at least one position."), field="positions", code="no_position")
    for number, position in enumerate(positions):
        check_position(position, f"positions-{number}-")
    versions = workshop.designs.filter(name=name).aggregate(last=Max("version"))["last"] or 0
    if versions and not confirm:
        raise Question(
            _("You have a design of this name. Keep this one as its version %(version)s?")
            % {"version": versions + 1},
            field="name",
            code="design_exists",
        )
    design = Design.objects.create(
        workshop=workshop,
        kind=kind,
        name=name,
        version=versions + 1,
        description=description.strip(),
        speed_ratio=speed_ratio,
        engine_speed=engine_speed,
        sump_volume=sump_volume,
        lubricant_code=lubricant_code,
    )
    # there is no design to ask about any earlier; refused here, it is undone with all the rest
    rules.require(by, Permission.WRITE_DESIGN, design)
    Position.objects.bulk_create(
        Position(design=design, order=order, **vars(position))
        for order, position in enumerate(positions, start=1)
    )
    audit.record("create_design", design, by=by, version=design.version, positions=len(positions))
    return design


@transaction.atomic
def set_instruction(
    *,
    design: Design,
    work: str,
    by: Person,
    distance: float | None = None,
    months: int | None = None,
    text: str = "",
) -> MaintenanceInstruction:
    """Say how often one kind of work falls due on a design; it stands above the computation.

    Raises
    ------
    Refused
        Without a distance, months or text.
    """
    rules.require(by, Permission.WRITE_DESIGN, design)
    if work not in WorkKind.values:
        raise Refused(_("Choose the work."), field="work")
    _require_number("distance", distance, above=0, at_most=1e9)
    _require_number("months", months, above=0, at_most=240)
    if distance is None and months is None and not text.strip():
        raise Refused(_("Enter a distance, a number of months, or what is to be done."))
    if len(text.strip()) > 300:
        raise Refused(_("Use at most 300 letters."), field="text")
    instruction, _new = MaintenanceInstruction.objects.update_or_create(
        design=design,
        work=work,
        defaults={"distance": distance, "months": months, "text": text.strip()},
    )
    audit.record("set_instruction", instruction, by=by, work=work, distance=distance,
                 months=months, text=instruction.text)  # fmt: skip
    return instruction


def check_position(position: PositionData, prefix: str = "") -> None:
    """Refuse a position that makes no sense.

    Raises
    ------
    Refused
        Naming the field.
    """
    if position.kind not in PositionKind.values:
        raise Refused(_("Choose what stands there."), field=f"{prefix}kind")
    if not position.name.strip():
        raise Refused(_("Name the position as you call it at the bench."), field=f"{prefix}name")
    if position.material not in ("", *BearingMaterial.values):
        raise Refused(_("Choose the material."), field=f"{prefix}material")
    for field in SIZES:
        _require_number(
            field, getattr(position, field), above=0, at_most=LARGEST[field], prefix=prefix
        )
    last = None
    for field in LIMITS:
        value = getattr(position, field)
        _require_number(field, value, at_least=0, at_most=LARGEST_LIMIT, prefix=prefix)
        if value is None:
            continue
        if last is not None and value < last:
            raise Refused(
                _("The limits must rise: as built from and to, look into above, stop at."),
                field=f"{prefix}{field}",
                code="limits_fall",
            )
        last = value


def _require_number(
    field: str,
    value: float | None,
    *,
    above: float | None = None,
    at_least: float | None = None,
    at_most: float,
    prefix: str = "",
) -> None:
    if value is None:
        return
    good = isfinite(value) and value <= at_most
    good = good and (above is None or value > above) and (at_least is None or value >= at_least)
    if not good:
        raise Refused(
            _("Enter a number above nought, in the unit beside it, or leave it empty."),
            field=f"{prefix}{field}",
            code="out_of_range",
        )
