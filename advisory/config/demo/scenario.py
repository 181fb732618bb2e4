"""Loading the scenario: two years of an invented club, told in the order in which they happened."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from django.db import transaction

from advisory.common.quantities import LENGTH, MASS, VOLUME, VOLUME_PER_TIME, read_quantity
from advisory.config.demo import files
from advisory.config.demo.bench import add_designs, build_unit
from advisory.config.demo.cast import PASSWORD, Cast, add_cast
from advisory.config.demo.exchange import (
    add_cause_lines,
    at_evening,
    exchange,
    follow_up,
    tell_by_bulletin,
)
from advisory.config.demo.logbook import CarUse
from advisory.findings import actions as findings
from advisory.lubrication import actions as lubrication
from advisory.lubrication.models import Lubricant
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.plans import actions as plans
from advisory.register import actions as register
from advisory.register.claim_code import code_from
from advisory.register.enums import WorkKind
from advisory.register.models import Car, Unit
from advisory.usage import actions as usage
from advisory.usage.logbook_csv import read_logbook

SIGN_INS = [
    ("owner", "edda@owners.example", PASSWORD),
    ("workshop", "wynn@tollgate.example", PASSWORD),
    ("club technical officer", "tamsin@furrow.example", PASSWORD),
]
OIL_QUANTITIES = {
    "sump_volume": VOLUME,
    "filter_flow": VOLUME_PER_TIME,
    "dirt_capacity": MASS,
    "feed_pipe_bore": LENGTH,
    "feed_pipe_length": LENGTH,
}
DAYS_FROM_BENCH_TO_CAR = 8


def load_scenario(report: Callable[[str], None] = lambda _line: None) -> None:
    """Load all of it or nothing, through the same actions as real data."""
    with plans.together(), transaction.atomic():
        cast, units = _load(report)
        plans.refresh_plans(units=[unit.pk for unit in units.values()], after_a_change=True)
        follow_up(cast, units)


def _load(report: Callable[[str], None]) -> tuple[Cast, dict[str, Unit]]:
    report("people, workshops and the club")
    cast = add_cast()
    report("designs")
    designs = add_designs(cast)
    add_cause_lines(cast, designs)
    garage = {entry["key"]: _add_car(entry, cast) for entry in files.read("cars.json")}
    report(f"{len(garage)} cars with two years of readings")
    entries = files.read("units.json")
    units = {}
    for entry in entries:
        design = designs[entry["design"]]
        owner = cast.people[entry["owner"]]
        manager = _manager_of(cast, design.workshop_id)
        unit = build_unit(entry, design, manager, today_of(owner))
        offer = register.offer_unit(unit=unit, by=manager)
        code = code_from(offer.nonce)
        unit = register.claim_unit(code=code, by=owner, new=register.NewOwner())
        _live(unit, entry, owner, cast, *garage[entry["car"]])
        units[entry["key"]] = unit
    exchange(cast, units)
    tell_by_bulletin(cast, designs)
    report(f"{len(entries)} units with what was done to them and found on them")
    return cast, units


def _manager_of(cast: Cast, workshop: int | None) -> Person:
    (key,) = (key for key, row in cast.organisations.items() if row.pk == workshop)
    return cast.managers[key]


def _add_car(entry: dict[str, Any], cast: Cast) -> tuple[Car, CarUse]:
    owner = cast.people[entry["owner"]]
    use = CarUse.of(entry)
    unit = entry["odometer_unit"]
    car = register.add_car(
        by=owner,
        maker=entry["maker"],
        model=entry["model"],
        year=entry["year"],
        roads=entry["roads"],
        short_run_share=entry["short_run_share"],
        expected_annual_distance=read_quantity(f"{entry['annual_distance']} {unit}", LENGTH).si,
        odometer_unit=unit,
        odometer_digits=entry["odometer_digits"],
    )
    today = today_of(owner)
    rows = "".join(f"{day:%Y-%m-%d},{shown}\n" for day, shown in use.readings(today))
    content = f"date,odometer\n{rows}".encode()
    usage.import_logbook(
        car=car,
        logbook=read_logbook(content, today=today),
        by=owner,
        name="logbook.csv",
        content=content,
    )
    for begun, ended in use.lay_ups(today):
        usage.lay_up_car(car=car, date=begun, until=ended, by=owner)
    return car, use


def _live(
    unit: Unit, entry: dict[str, Any], owner: Person, cast: Cast, car: Car, use: CarUse
) -> None:
    """Fit the unit, oil it, and let its two years pass."""
    today = today_of(owner)
    days = entry.get("fitted_days_ago", entry["built_days_ago"] - DAYS_FROM_BENCH_TO_CAR)
    fitted = today - timedelta(days=days)
    register.fit_unit(unit=unit, car=car, date=fitted, shown=use.shown_on(fitted, today), by=owner)
    oil = _oil(entry["oil"])
    lubrication.set_oil_arrangement(unit=unit, from_date=fitted, by=owner, **oil)
    done = [(days, WorkKind.OIL_CHANGE.value) for days in entry["oil_changes_days_ago"]]
    done += [(days, work) for work, days in entry["work"]]
    for days, work in sorted(done, reverse=True):
        day = today - timedelta(days=days)
        changed = work == WorkKind.OIL_CHANGE
        plans.mark_done(
            unit=unit,
            work=work,
            date=day,
            shown=use.shown_on(day, today),
            lubricant=oil["lubricant"] if changed else None,
            volume=oil["sump_volume"] if changed else None,
            by=owner,
            at=at_evening(day, owner),
        )
    for finding in entry.get("findings", []):
        _find(unit, finding, cast, use, today)


def _oil(entry: dict[str, Any]) -> dict[str, Any]:
    said = {
        name: files.si(value, OIL_QUANTITIES[name]) if name in OIL_QUANTITIES else value
        for name, value in entry.items()
    }
    said["lubricant"] = Lubricant.objects.get(code=entry["lubricant"])
    return said


def _find(unit: Unit, entry: dict[str, Any], cast: Cast, use: CarUse, today: date) -> None:
    owner = cast.people[entry["reported_by"]]
    day = today - timedelta(days=entry["days_ago"])
    measured = entry["measured"]
    finding = findings.report_finding(
        unit=unit,
        by=owner,
        text=entry["text"],
        seen_on=day,
        position=unit.design.positions.get(name=entry["position"]),
        value=files.si(measured, LENGTH),
        as_typed=measured or "",
        shown=use.shown_on(day, today),
        at=at_evening(day, owner),
    )
    if (answer := entry["answer"]) is not None:
        fitter = cast.people[answer["by"]]
        at = at_evening(today - timedelta(days=answer["days_ago"]), fitter)
        findings.mark_seen(finding=finding, by=fitter)
        findings.answer_finding(finding=finding, text=answer["text"], by=fitter, at=at)
