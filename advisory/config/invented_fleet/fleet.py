"""Writing an invented fleet: some thousand cars at a time, each lot whole."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time

import numpy as np
from allauth.account.models import EmailAddress
from django.contrib.auth.hashers import make_password
from django.db import transaction

from advisory.config.invented_fleet.books import Books, open_books
from advisory.config.invented_fleet.bulk import in_bulk, made_in_bulk
from advisory.config.invented_fleet.drawn import DrawnCar, draw_cars
from advisory.config.invented_fleet.names import car_name, person_name
from advisory.config.invented_fleet.units import write_units
from advisory.people.enums import ConsentScope
from advisory.people.models import Consent, Organisation, Person
from advisory.register.models import Car, Odometer
from advisory.usage.models import LayUp, Reading

CARS_AT_ONCE = 2_000
# Four owners have five cars.
CARS_OF_FOUR = 5
ZONES = ("Europe/London", "Europe/London", "Europe/Berlin", "Pacific/Auckland", "America/Denver")


@dataclass
class Fleet:
    """How much was written."""

    owners: int = 0
    cars: int = 0
    units: int = 0
    readings: int = 0


def make_fleet(
    cars: int, *, seed: int = 1, today: date, report: Callable[[Fleet], None] = lambda _f: None
) -> Fleet:
    """Write so many cars with all that belongs to them; their plans are reckoned afterwards.

    The same seed, number and day write the same fleet. Killed half-way, it leaves whole lots.
    """
    fleet = Fleet()
    with transaction.atomic():
        books = open_books(cars, seed)
    for lot, begin in enumerate(range(0, cars, CARS_AT_ONCE)):
        rng = np.random.default_rng([seed, lot])
        drawn = draw_cars(min(CARS_AT_ONCE, cars - begin), today, rng)
        with transaction.atomic():
            _write(drawn, books, begin, seed, fleet, rng)
        report(fleet)
    return fleet


def _write(
    drawn: list[DrawnCar],
    books: Books,
    begin: int,
    seed: int,
    fleet: Fleet,
    rng: np.random.Generator,
) -> None:
    many = max(len(drawn) * 4 // CARS_OF_FOUR, 1)
    owners = _owners(many, fleet.owners, seed)
    whose = [owners[place % many] for place in range(len(drawn))]
    numbered = enumerate(zip(drawn, whose, strict=True), start=begin)
    cars = made_in_bulk([_car(one, owner, number) for number, (one, owner) in numbered], Car)
    meters = made_in_bulk(
        [
            Odometer(car=car, unit=one.counts, digits=one.digits)
            for car, one in zip(cars, drawn, strict=True)
        ],
        Odometer,
    )
    fleet.readings += in_bulk(_readings(meters, drawn, whose), Reading)
    in_bulk(
        (
            LayUp(car=car, from_date=begun, until_date=ended)
            for car, one in zip(cars, drawn, strict=True)
            for begun, ended in one.lay_ups
        ),
        LayUp,
    )
    lot = begin // CARS_AT_ONCE
    workshop = books.workshops[lot % len(books.workshops)]
    club = books.clubs[lot % len(books.clubs)]
    in_bulk(_consents(owners, club, workshop.row, rng), Consent)
    fleet.units += write_units(drawn, cars, whose, workshop, serials=f"{seed}-{begin}")
    fleet.owners += many
    fleet.cars += len(drawn)


def _owners(many: int, begin: int, seed: int) -> list[Person]:
    """Write people whose password opens nothing, their addresses verified."""
    people = made_in_bulk(
        [
            Person(
                email=f"owner-{seed}-{number}@fleet.example",
                name=person_name(number),
                zone=ZONES[number % len(ZONES)],
                password=make_password(None),
            )
            for number in range(begin, begin + many)
        ],
        Person,
    )
    in_bulk(
        (
            EmailAddress(user=person, email=person.email, verified=True, primary=True)
            for person in people
        ),
        EmailAddress,
    )
    return people


def _car(drawn: DrawnCar, owner: Person, number: int) -> Car:
    maker, model = car_name(number)
    return Car(
        owner=owner,
        maker=maker,
        model=model,
        year=drawn.year,
        roads=drawn.roads,
        short_run_share=drawn.short_runs,
        expected_annual_distance=drawn.guess,
        created_at=datetime.combine(drawn.since, time(9), UTC),
    )


def _readings(
    meters: Sequence[Odometer], drawn: Sequence[DrawnCar], whose: Sequence[Person]
) -> Iterator[Reading]:
    for meter, one, owner in zip(meters, drawn, whose, strict=True):
        for shown in one.readings:
            yield Reading(odometer=meter, date=shown.day, shown=shown.number, entered_by=owner)


def _consents(
    owners: Sequence[Person], club: Organisation, workshop: Organisation, rng: np.random.Generator
) -> Iterator[Consent]:
    """Let every owner count in the club, some by name, and most be seen by their workshop."""
    given = datetime(2018, 1, 1, tzinfo=UTC)
    named, seen = rng.random(len(owners)) < 0.4, rng.random(len(owners)) < 0.7
    for place, person in enumerate(owners):
        scope = ConsentScope.NAMED if named[place] else ConsentScope.UNNAMED
        yield Consent(person=person, organisation=club, scope=scope, given_at=given)
        if seen[place]:
            records = ConsentScope.RECORDS
            yield Consent(person=person, organisation=workshop, scope=records, given_at=given)
