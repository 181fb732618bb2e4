"""Reads of the register that more than one caller needs."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet, Subquery
from django.utils import timezone

from advisory.common.together import FEW, fetch_together
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.adapters import stands_of
from advisory.register.claim_code import code_from, digest_of_code
from advisory.register.enums import QUANTITY_OF, BuildState, MeasuredQuantity, PositionKind, Stands
from advisory.register.models import (
    Build,
    BuildMeasurement,
    Design,
    Fitting,
    HandOver,
    Position,
    Unit,
)
from advisory.register.sheet import design_of


@dataclass(frozen=True)
class SheetRow:
    """One position of a unit with what was measured there, and how that stands."""

    position: Position
    quantity: MeasuredQuantity | None
    measurement: BuildMeasurement | None

    @property
    def stands(self) -> Stands:
        """How the figure stands against the limits as built, as far as its measuring tells."""
        if self.measurement is None:
            return Stands.NOT_MEASURED
        return stands_of(
            self.measurement.value,
            self.measurement.uncertainty,
            # nothing is less than nought: a lower limit of nought is none
            self.position.as_built_least or None,
            self.position.as_built_most,
        )


@dataclass(frozen=True)
class AsBuilt:
    """A unit's record: the build sheet that counts, and a row for each position of its design."""

    build: Build | None
    rows: tuple[SheetRow, ...]
    # everything that was measured on that sheet, where the record was asked for by its unit
    figures: tuple[BuildMeasurement, ...] = ()

    @property
    def measured_rows(self) -> tuple[SheetRow, ...]:
        """The rows at which something is measured."""
        return tuple(row for row in self.rows if row.quantity is not None)


def sheet_rows(
    build: Build, figures: Iterable[BuildMeasurement] | None = None
) -> tuple[SheetRow, ...]:
    """Return a row for each position of a build sheet, in two SQL queries.

    `figures`: all that was measured, where the caller has it.
    """
    figures = (
        BuildMeasurement.objects.filter(build=build).order_by() if figures is None else figures
    )
    measurements = {(row.position_id, row.quantity): row for row in figures}
    return _rows(design_of(build).positions.all(), measurements)


def as_built_of(units: Iterable[Unit]) -> dict[int, AsBuilt]:
    """Return the records of many units, by their keys, in two SQL queries, or three for a fleet.

    A unit's last signed sheet that no other puts right counts; a unit without one has its positions
    only.
    """
    wanted = list(units)
    signed = (
        standing_builds()
        .filter(unit__in=wanted)
        .select_related("signed_by", "workshop")
        .order_by("unit_id", "built_on", "revision", "pk")
    )
    last = {build.unit_id: build for build in signed}
    built_to = {
        unit.pk: (last[unit.pk].design_id if unit.pk in last else None) or unit.design_id
        for unit in wanted
    }
    places, figures = fetch_together(
        Position.objects.filter(design__in=set(built_to.values())),
        BuildMeasurement.objects.filter(build__in=[build.pk for build in last.values()]),
        few=len(wanted) <= FEW,
    )
    positions: dict[int, list[Position]] = {}
    for position in sorted(places, key=lambda row: (row.order, row.pk)):
        positions.setdefault(position.design_id, []).append(position)
    measured: dict[int, list[BuildMeasurement]] = {}
    for row in figures:
        measured.setdefault(row.build_id, []).append(row)
    records = {}
    for unit in wanted:
        build = last.get(unit.pk)
        found = tuple(measured.get(build.pk, ())) if build else ()
        by_place = {(row.position_id, row.quantity): row for row in found}
        rows = _rows(positions.get(built_to[unit.pk], ()), by_place)
        records[unit.pk] = AsBuilt(build, rows, found)
    return records


def standing_builds() -> QuerySet[Build]:
    """Return the signed sheets that no signed sheet puts right."""
    right = Build.objects.filter(corrects=OuterRef("pk"), state=BuildState.SIGNED)
    return Build.objects.filter(~Exists(right), state=BuildState.SIGNED)


def as_built(unit: Unit) -> AsBuilt:
    """Return the record of one unit."""
    return as_built_of([unit])[unit.pk]


def current_fitting(unit: Unit) -> Fitting | None:
    """Return the stay of a unit in the car that it is in now."""
    return unit.fittings.select_related("car").filter(until_date=None).first()


def designs_for(person: Person) -> QuerySet[Design]:
    """Return the designs that a person may look at: starters, their workshop's, their units'."""
    return rules.scope(person, Permission.VIEW_DESIGN, Design.objects.all()).select_related(
        "workshop"
    )


def versions_of(person: Person, design: Design) -> QuerySet[Design]:
    """Return the versions of a design that a person may look at, newest first."""
    return (
        designs_for(person)
        .filter(workshop=design.workshop_id, name=design.name)
        .order_by("-version")
    )


def newer_version(design: Design) -> Design | None:
    """Return the newest version of a design, where it is not this one."""
    if design.workshop_id is None:
        return None
    later = Design.objects.filter(
        workshop=design.workshop_id, name=design.name, version__gt=design.version
    )
    return later.order_by("-version").first()


def with_builds(units: QuerySet[Unit]) -> QuerySet[Unit]:
    """Say of each unit when its last signed sheet was built, and which is being written."""
    signed = standing_builds().filter(unit=OuterRef("pk")).order_by("-built_on", "-revision")
    written = Build.objects.filter(unit=OuterRef("pk"), state=BuildState.DRAFT)
    return units.annotate(
        last_built=Subquery(signed.values("built_on")[:1]),
        last_build=Subquery(signed.values("pk")[:1]),
        written_build=Subquery(written.values("pk")[:1]),
    )


def _rows(
    positions: Iterable[Position], measured: dict[tuple[int, str], BuildMeasurement]
) -> tuple[SheetRow, ...]:
    rows = []
    for position in positions:
        quantity = QUANTITY_OF.get(PositionKind(position.kind))
        found = measured.get((position.pk, quantity)) if quantity else None
        rows.append(SheetRow(position, quantity, found))
    return tuple(rows)


def offer_by_code(code: str) -> HandOver | None:
    """Return the offer that a code belongs to, whether it still waits or not."""
    rows = HandOver.objects.select_related("unit__design", "unit__workshop", "unit__owner")
    return rows.filter(digest=digest_of_code(code)).first()


def open_offer(unit: Unit) -> HandOver | None:
    """Return the offer of a unit that waits."""
    rows = unit.hand_overs.filter(claimed_at=None, withdrawn_at=None)
    offer = rows.filter(expires_at__gt=timezone.now()).first()
    # after a change of the service's secret key a code can't be worked out again
    if offer is None or digest_of_code(code_from(offer.nonce)) != offer.digest:
        return None
    return offer
