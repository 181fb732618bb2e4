"""A large invented fleet, put into the database in bulk: how it lives is known, nothing is real."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np

from advisory.config.invented_fleet import in_bulk, made_in_bulk
from advisory.findings.enums import FindingState, Judgement
from advisory.findings.models import Finding
from advisory.lubrication.enums import Feed, Filtration
from advisory.lubrication.models import OilArrangement
from advisory.people.enums import ConsentScope, DistanceUnit, OrganisationKind
from advisory.people.models import Consent, Organisation, Person
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.register.enums import (
    BuildState,
    MeasuredQuantity,
    PositionKind,
    UnitKind,
    WorkKind,
)
from advisory.register.models import (
    Build,
    BuildMeasurement,
    Car,
    Design,
    Fitting,
    Odometer,
    Position,
    Unit,
)
from advisory.usage.models import Reading

TODAY = date(2026, 6, 30)
MILE = 1609.344
# A filter makes life twice as long, whatever the design; some designs last longer than others.
LIFE_MILES = {Filtration.NONE: 9_000.0, Filtration.FULL_FLOW: 18_000.0, Filtration.BYPASS: 18_000.0}
SHAPE = 1.8
WEAR_MM_PER_1000_MILES = 0.004
FILTERS = (Filtration.NONE, Filtration.FULL_FLOW, Filtration.BYPASS)
POSITIONS = (
    (PositionKind.JOURNAL_BEARING, MeasuredQuantity.RUNNING_CLEARANCE),
    (PositionKind.THRUST_WASHER, MeasuredQuantity.END_FLOAT),
    (PositionKind.LIP_SEAL, None),
)


@dataclass(frozen=True)
class InventedFleet:
    """The club and the workshop of an invented fleet."""

    club: Organisation
    workshop: Organisation


def make_fleet(units: int, *, designs: int = 4, seed: int = 1, years: int = 7) -> InventedFleet:
    """Make a club whose owners have so many units in all, three owners for five units."""
    rng = np.random.default_rng(seed)
    club = Organisation.objects.create(kind=OrganisationKind.CLUB, name=f"Wide Fell Club {seed}")
    shop = Organisation.objects.create(
        kind=OrganisationKind.WORKSHOP, name=f"Wide Fell Works {seed}"
    )
    kinds = (UnitKind.SUPERCHARGER, UnitKind.ENGINE, UnitKind.GEARBOX)
    patterns = [
        Design.objects.create(workshop=shop, kind=kinds[i % 3], name=f"Pattern {i + 1}")
        for i in range(designs)
    ]
    positions = {
        design.pk: [
            Position.objects.create(design=design, order=i, kind=kind, name=str(kind.label))
            for i, (kind, _quantity) in enumerate(POSITIONS, start=1)
        ]
        for design in patterns
    }
    many = max(units * 3 // 5, 1)
    # passwords that open nothing; made in bulk, so not by the manager
    owners = made_in_bulk(
        [
            Person(email=f"o{seed}-{i}@example.com", name=f"Owner {i}", password="!")
            for i in range(many)
        ],
        Person,
    )
    given = datetime(2018, 1, 1, tzinfo=UTC)
    in_bulk(
        (
            Consent(person=o, organisation=club, scope=ConsentScope.UNNAMED, given_at=given)
            for o in owners
        ),
        Consent,
    )
    whose = [owners[i % many] for i in range(units)]
    cars = made_in_bulk([Car(owner=o, maker="Fell", model="Twelve", year=1930) for o in whose], Car)
    meters = made_in_bulk(
        [Odometer(car=c, unit=DistanceUnit.MILE, digits=5) for c in cars], Odometer
    )
    which = rng.integers(0, designs, units)
    # the better the design, the oftener a filter: what raw figures mix up
    filtered = rng.random(units) < 0.25 + 0.5 * which / max(designs - 1, 1)
    bypass = rng.random(units) < 0.3
    filters = [
        FILTERS[0] if not f else FILTERS[2] if b else FILTERS[1]
        for f, b in zip(filtered, bypass, strict=True)
    ]
    made = made_in_bulk(
        [
            Unit(owner=o, design=patterns[d], workshop=shop, serial=f"{seed}-{i}")
            for i, (o, d) in enumerate(zip(whose, which, strict=True))
        ],
        Unit,
    )
    age_days = rng.integers(200, 365 * years, units)
    begun = [TODAY - timedelta(days=int(d)) for d in age_days]
    yearly = rng.gamma(4.0, 550.0, units)  # miles
    start = rng.integers(10_000, 90_000, units)

    def shown(i: int, share: float) -> int:
        return int(start[i] + yearly[i] * age_days[i] * share / 365.25) % 100_000

    in_bulk(
        (
            Fitting(unit=u, car=c, from_date=begun[i], from_reading=int(start[i]))
            for i, (u, c) in enumerate(zip(made, cars, strict=True))
        ),
        Fitting,
    )
    in_bulk(
        (
            Reading(
                odometer=meters[i],
                date=begun[i] + timedelta(days=int(age_days[i] * share)),
                shown=shown(i, share),
                confirmed=True,
                went_round=share > 0 and shown(i, share) < shown(i, share - 0.25),
            )
            for i in range(units)
            for share in (0.25, 0.5, 0.75, 1.0)
        ),
        Reading,
    )
    in_bulk(
        (
            OilArrangement(
                unit=u, from_date=begun[i], filtration=filters[i], feed=Feed.PRESSURE
            )
            for i, u in enumerate(made)
        ),
        OilArrangement,
    )  # fmt: skip
    builds = made_in_bulk(
        [Build(unit=u, workshop=shop, built_on=begun[i]) for i, u in enumerate(made)], Build
    )
    in_bulk(
        (
            BuildMeasurement(
                build=b,
                position=positions[patterns[which[i]].pk][place],
                quantity=quantity,
                value=0.05e-3,
                as_typed="0.05 mm",
            )
            for i, b in enumerate(builds)
            for place, (_kind, quantity) in enumerate(POSITIONS)
            if quantity is not None and i % 4 == 0
        ),
        BuildMeasurement,
    )
    Build.objects.filter(unit__workshop=shop).update(
        state=BuildState.SIGNED, signed_by=owners[0], signed_at=given
    )
    late = rng.random(units) < np.where(filtered, 0.15, 0.35)
    in_bulk(
        (
            WorkDone(
                unit=u,
                work=WorkKind.OIL_CHANGE,
                cycle=cycle,
                date=begun[i] + timedelta(days=int(age_days[i] * share)),
                distance=yearly[i] * age_days[i] * share / 365.25 * MILE,
                was_due_distance=yearly[i] * age_days[i] * share / 365.25 * MILE
                + (-200e3 if late[i] else 150e3),
                was_due_on=begun[i] + timedelta(days=int(age_days[i] * share) + 40),
                in_time=not late[i],
            )
            for i, u in enumerate(made)
            for cycle, share in ((1, 0.45), (2, 0.9))
        ),
        WorkDone,
    )
    in_bulk(
        (
            PlanItem(
                unit=u,
                work=work,
                anchor_date=begun[i],
                state=DueState.LATE if late[i] and work == WorkKind.OIL_CHANGE else DueState.AHEAD,
            )
            for i, u in enumerate(made)
            for work in (WorkKind.OIL_CHANGE, WorkKind.SEAL_WEEP)
        ),
        PlanItem,
    )
    in_bulk(
        _findings(rng, made, which, patterns, positions, filters, yearly, age_days, begun), Finding
    )
    return InventedFleet(club, shop)


def _findings(
    rng: np.random.Generator,
    units: Sequence[Unit],
    which: Any,
    patterns: Sequence[Design],
    positions: dict[int, list[Position]],
    filters: Sequence[Filtration],
    yearly: Any,
    age_days: Any,
    begun: Sequence[date],
) -> Iterator[Finding]:
    """A weep now and then; one serious finding at the end of a life; every fourth is measured."""
    better = 1.0 + 0.5 * which / max(len(patterns) - 1, 1)
    scale = np.array([LIFE_MILES[f] for f in filters]) * better
    life = scale * rng.weibull(SHAPE, len(units))
    weeps = rng.poisson(yearly * age_days / 365.25 / 12_000.0)
    now = datetime(2026, 6, 30, tzinfo=UTC)
    for i, unit in enumerate(units):
        places = positions[patterns[which[i]].pk]
        days = life[i] / yearly[i] * 365.25
        if days < age_days[i]:
            yield Finding(
                unit=unit,
                position=places[i % 2],
                seen_on=begun[i] + timedelta(days=int(days)),
                text="It knocks",
                judgement=Judgement.STOP if i % 3 else Judgement.ASK,
                state=FindingState.SENT,
                sent_at=now,
            )
        for _each in range(int(weeps[i])):
            yield Finding(
                unit=unit,
                position=places[2],
                seen_on=begun[i] + timedelta(days=int(rng.random() * age_days[i]) + 1),
                text="It weeps",
                state=FindingState.KEPT,
            )
        if i % 4 == 0:
            way = yearly[i] * age_days[i] / 365.25 / 1000.0
            worn = WEAR_MM_PER_1000_MILES * way * (1.0 + 0.2 * which[i]) * rng.normal(1.0, 0.3)
            yield Finding(
                unit=unit,
                position=places[0],
                seen_on=begun[i] + timedelta(days=int(age_days[i])),
                text="Measured",
                quantity=MeasuredQuantity.RUNNING_CLEARANCE,
                value=(0.05 + worn) * 1e-3,
                as_typed="",
                judgement=Judgement.WATCH,
                state=FindingState.KEPT,
            )
