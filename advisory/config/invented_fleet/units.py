"""The units of an invented fleet: fittings, sheets with sizes, oil, services, hour counters."""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, time

from advisory.config.invented_fleet.books import Workshop
from advisory.config.invented_fleet.bulk import in_bulk, made_in_bulk
from advisory.config.invented_fleet.drawn import DrawnCar, DrawnUnit
from advisory.lubrication.enums import Feed, Filtration
from advisory.lubrication.models import OilArrangement, OilService
from advisory.people.models import Person
from advisory.register.digest import signed_digest
from advisory.register.enums import QUANTITY_OF, BuildState, LeftFor, PositionKind
from advisory.register.models import Build, BuildMeasurement, Car, Fitting, Unit
from advisory.usage.models import HourReading

# A size as built, in metres, before it is drawn for each unit.
AS_BUILT = {PositionKind.JOURNAL_BEARING: 0.05e-3, PositionKind.THRUST_WASHER: 0.12e-3}

Pair = tuple[Unit, DrawnUnit]


def write_units(
    drawn: Sequence[DrawnCar],
    cars: Sequence[Car],
    owners: Sequence[Person],
    workshop: Workshop,
    *,
    serials: str,
) -> int:
    """Write the units of these cars and all that hangs on them; return how many."""
    placed = [
        (one, car, owner)
        for car_drawn, car, owner in zip(drawn, cars, owners, strict=True)
        for one in car_drawn.units
    ]
    units = made_in_bulk(
        [
            Unit(
                design=workshop.designs[one.pattern],
                # what nobody's sheet stands behind came from elsewhere
                workshop=workshop.row if one.built_on else None,
                owner=owner,
                serial=f"{serials}-{number}",
                created_at=datetime.combine(one.since, time(9), UTC),
            )
            for number, (one, _car, owner) in enumerate(placed)
        ],
        Unit,
    )
    pairs = [(unit, one) for unit, (one, _car, _owner) in zip(units, placed, strict=True)]
    in_bulk((_fitting(unit, one, car) for unit, (one, car, _) in zip(units, placed, strict=True)),
            Fitting)  # fmt: skip
    _write_builds(pairs, workshop)
    in_bulk(_arrangements(pairs), OilArrangement)
    in_bulk(
        (
            OilService(
                unit=unit, date=service.day, kind=service.kind, shown=service.number,
                entered_by_id=unit.owner_id,
            )
            for unit, one in pairs
            for service in one.services
        ),
        OilService,
    )  # fmt: skip
    in_bulk(
        (
            HourReading(unit=unit, date=day, shown=shown, entered_by_id=unit.owner_id)
            for unit, one in pairs
            for day, shown in one.hours
        ),
        HourReading,
    )
    return len(units)


def _fitting(unit: Unit, one: DrawnUnit, car: Car) -> Fitting:
    return Fitting(
        unit=unit,
        car=car,
        from_date=one.since,
        from_reading=one.fitted_at,
        until_date=one.until,
        left_for=LeftFor.OUT_OF_SERVICE if one.until else "",
    )


def _write_builds(pairs: Sequence[Pair], workshop: Workshop) -> None:
    """Write sheets with a size at each place that has one, then sign them under their digest."""
    built = [(unit, one, one.built_on) for unit, one in pairs if one.built_on is not None]
    builds = made_in_bulk(
        [
            Build(
                unit=unit,
                workshop=workshop.row,
                design=unit.design,
                built_on=day,
                signed_by=workshop.signer,
                signed_at=datetime.combine(one.since, time(8), UTC),
            )
            for unit, one, day in built
        ],
        Build,
    )
    sizes = [
        BuildMeasurement(
            build=build,
            position=position,
            quantity=QUANTITY_OF[PositionKind(position.kind)],
            value=(value := round(AS_BUILT[PositionKind(position.kind)] * one.clearance, 7)),
            as_typed=f"{value * 1e3:.4f} mm",
        )
        for build, (_unit, one, _day) in zip(builds, built, strict=True)
        for position in workshop.positions[one.pattern]
        if position.kind in AS_BUILT
    ]
    in_bulk(sizes, BuildMeasurement)
    by_build: dict[int, list[BuildMeasurement]] = {build.pk: [] for build in builds}
    for size in sizes:
        by_build[size.build_id].append(size)
    for build in builds:
        build.state = BuildState.SIGNED
        build.digest = signed_digest(build, entries=(), figures=by_build[build.pk], photos=())
    Build.objects.bulk_update(builds, ["state", "digest"], batch_size=1000)


def _arrangements(pairs: Sequence[Pair]) -> Iterator[OilArrangement]:
    for unit, one in pairs:
        filtered = one.filtration in {Filtration.BYPASS, Filtration.FULL_FLOW}
        told = filtered and one.clearance > 1.0
        if one.filtration == Filtration.UNKNOWN:
            continue
        yield OilArrangement(
            unit=unit,
            from_date=one.since,
            feed=Feed.PRESSURE if one.pattern == 0 else Feed.OWN_SUMP,
            filtration=one.filtration,
            sump_volume=round((unit.design.sump_volume or 2e-3) * one.clearance, 5),
            beta_ratio=20.0 if told else None,
            filter_flow=0.5e-3 / 60 if told else None,
            dirt_capacity=5e-3 if told else None,
            sump_temperature=343.15 if one.clearance > 1.1 else None,
        )
