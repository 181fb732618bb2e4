"""What owners and workshops of the scenario said to each other, and rounds made over units."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from advisory.common.quantities import LENGTH
from advisory.config.demo import files
from advisory.config.demo.cast import Cast
from advisory.findings import actions as findings
from advisory.findings.actions import Measure, Offer
from advisory.findings.actions.inspecting import answer_step, finish_inspection, start_inspection
from advisory.findings.enums import Currency, PartOrigin
from advisory.findings.models import Finding, Inspection, InspectionStep
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.plans.actions.bulletins import mark_read, send_bulletin, write_bulletin
from advisory.register.models import Design, Unit
from advisory.reports import actions as reports

EVENING = time(19, 30)


def add_cause_lines(cast: Cast, designs: dict[str, Design]) -> None:
    """Let workshops add what they have learnt of their designs to the table of causes."""
    for entry in files.read("exchange.json")["cause_lines"]:
        words = {name: entry[name] for name in ("mark", "cause", "check_for", "until_then")}
        findings.add_cause_line(
            design=designs[entry["design"]],
            by=cast.people[entry["by"]],
            evidence=entry["evidence"],
            source=entry.get("source", ""),
            **words,
        )


def exchange(cast: Cast, units: dict[str, Unit]) -> None:
    """Make the rounds, report what was seen, and let each side have its turns."""
    told = files.read("exchange.json")
    for entry in told["inspections"]:
        _inspect(cast, units[entry["unit"]], entry)
    for entry in told["findings"]:
        _take_course(cast, _report(cast, units[entry["unit"]], entry), entry["course"])


def tell_by_bulletin(cast: Cast, designs: dict[str, Design]) -> None:
    """Send what concerns many units, and let some owners read it; others find it unread."""
    for entry in files.read("exchange.json")["bulletins"]:
        by = cast.people[entry["by"]]
        design = entry.get("design")
        days = entry.get("days_to_do_it")
        bulletin = write_bulletin(
            organisation=cast.organisations[entry["organisation"]],
            by=by,
            title=entry["title"],
            text=entry["text"],
            asks=entry.get("asks", ""),
            until=None if days is None else today_of(by) + timedelta(days=days),
            design=designs[design] if design else None,
            filtration=entry.get("filtration", ""),
        )
        send_bulletin(bulletin=bulletin, by=by)
        for reader in entry["read_by"]:
            mark_read(bulletin=bulletin, by=cast.people[reader])


def follow_up(cast: Cast, units: dict[str, Unit]) -> None:
    """Let the workshops ring owners about what stands by now; plans are reckoned before."""
    for entry in files.read("exchange.json")["calls"]:
        reports.log_call(unit=units[entry["unit"]], by=cast.people[entry["by"]], note=entry["note"])


def at_evening(day: date, person: Person) -> datetime:
    """Return half past seven of a day, where the person lives."""
    return datetime.combine(day, EVENING, tzinfo=ZoneInfo(person.zone))


def _inspect(cast: Cast, unit: Unit, entry: dict[str, Any]) -> Inspection:
    owner = cast.people[entry["by"]]
    inspection = start_inspection(
        unit=unit,
        by=owner,
        scope=entry["scope"],
        started_on=today_of(owner) - timedelta(days=entry["days_ago"]),
    )
    for step in inspection.steps.select_related("position"):
        _answer(step, owner, entry["answers"].get(_place_of(step), {}))
    return finish_inspection(inspection=inspection, by=owner)


def _place_of(step: InspectionStep) -> str:
    return step.position.name if step.position else str(step.kind)


def _answer(step: InspectionStep, owner: Person, said: dict[str, str]) -> None:
    if not said:
        return
    typed = said.get("measured")
    answer_step(
        step=step,
        by=owner,
        outcome=said.get("outcome", ""),
        mark=said.get("mark", ""),
        value=files.si(typed, LENGTH),
        as_typed=typed or "",
        words=said.get("words", ""),
        confirm=True,
    )


def _report(cast: Cast, unit: Unit, entry: dict[str, Any]) -> Finding:
    owner = cast.people[entry["by"]]
    day = today_of(owner) - timedelta(days=entry["days_ago"])
    return findings.report_finding(
        unit=unit,
        by=owner,
        text=entry["text"],
        seen_on=day,
        position=unit.design.positions.get(name=entry["position"]),
        mark=entry.get("mark", ""),
        at=at_evening(day, owner),
    )


def _take_course(cast: Cast, finding: Finding, course: list[dict[str, Any]]) -> None:
    for turn in course:
        by = cast.people[turn["by"]]
        at = at_evening(today_of(by) - timedelta(days=turn["days_ago"]), by)
        if turn["what"] == "answer":
            _answer_owner(finding, turn, by, at)
        elif turn["what"] == "write":
            findings.write_back(finding=finding, by=by, text=turn["text"], at=at)
        elif turn["what"] == "pick":
            way = finding.ways.get(part=turn["part"])
            findings.pick_way(way=way, by=by, text=turn.get("text", ""), at=at)
        elif turn["what"] == "close":
            findings.close_finding(
                finding=finding, cause=turn["cause"], found=turn["text"], by=by, at=at
            )
        finding.refresh_from_db()


def _answer_owner(finding: Finding, turn: dict[str, Any], by: Person, at: datetime) -> None:
    measure = None
    if asked := turn.get("measure"):
        positions = finding.unit.design.positions
        measure = Measure(position=positions.get(name=asked["position"]), how=asked["how"])
    findings.mark_seen(finding=finding, by=by)
    findings.answer_finding(
        finding=finding,
        text=turn["text"],
        by=by,
        asks=turn.get("asks", False),
        measure=measure,
        instruction=turn.get("instruction", ""),
        ways=[_way(way) for way in turn.get("ways", [])],
        at=at,
    )


def _way(entry: dict[str, Any]) -> Offer:
    return Offer(
        text=entry["text"],
        part=PartOrigin(entry["part"]),
        price=Decimal(entry["price"]),
        currency=Currency(entry["currency"]),
        days=entry["days"],
    )
