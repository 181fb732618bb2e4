"""A unit's record as it stood when something was seen on it, for the causes to be held against."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from advisory.findings.causes.record import UnitRecord
from advisory.findings.judgement import Because, judge
from advisory.findings.models import Finding, InspectionStep
from advisory.findings.queries import held_against
from advisory.findings.signals import coolant_checks_asked
from advisory.lubrication.adapters import ChoiceCase, choice_case, choice_key, choose
from advisory.lubrication.adapters.engineering import (
    FilmVerdict,
    OutOfRange,
    State,
    pipe_supply,
)
from advisory.lubrication.advice import advise_many
from advisory.lubrication.choice.ground import ChoiceGround, grounds_of
from advisory.lubrication.enums import Filtration
from advisory.lubrication.queries import OilInUnit, oils_of
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.enums import MeasuredQuantity, PositionKind, Roads
from advisory.register.models import SheetEntry, Unit
from advisory.register.queries import as_built
from advisory.usage.queries import unit_use
from advisory.usage.use import UnitUse

DAYS_A_MONTH = 30.44
# how far back what else was seen still counts
LOOK_BACK = timedelta(days=2 * 365)
WINTER_BEGINS = (12, 1)


def record_of(finding: Finding, by: Person) -> UnitRecord:
    """Gather what is known of the finding's unit, as far as `by` may see it."""
    unit, on = finding.unit, finding.seen_on
    oil, use = oils_of([unit], on)[unit.pk], unit_use(unit)
    ground = grounds_of([unit], by)[unit.pk]
    known: dict[str, Any] = {}
    known |= _oil(oil)
    known |= _change(unit, oil, use, on)
    known |= _use(use, on)
    known |= _films(ground, oil, finding)
    known |= _coolant(finding)
    known |= _build(finding, use)
    known |= _measured(finding)
    known["other_marks"] = _other_marks(finding, by)
    return UnitRecord(**known)


def _oil(oil: OilInUnit) -> dict[str, Any]:
    filtration = None if oil.filtration == Filtration.UNKNOWN else str(oil.filtration)
    lubricant, arrangement = oil.lubricant, oil.arrangement
    return {
        "filtration": filtration,
        "detergent": lubricant.detergent if lubricant else None,
        "active_sulphur": lubricant.active_sulphur if lubricant else None,
        "breather_filtered": arrangement.breather_filtered if arrangement else None,
    }


def _change(unit: Unit, oil: OilInUnit, use: UnitUse, on: date) -> dict[str, Any]:
    last = oil.last_change
    if last is None:
        return {"change_logged": False}
    advice = advise_many([unit], uses={unit.pk: use}, oils={unit.pk: oil}, todays={unit.pk: on})[
        unit.pk
    ]
    since = use.since(last.date, last.shown, until=on)
    months = (on - last.date).days / DAYS_A_MONTH
    return {
        "change_logged": True,
        "change_over": None if since is None else since - advice.distance,
        "months_over": int(months - advice.months),
    }


def _use(use: UnitUse, on: date) -> dict[str, Any]:
    car = use.current
    if car is None:
        return {}
    year = on - timedelta(days=365)
    laid_up = any(
        spell.from_date <= on and (spell.until_date is None or spell.until_date >= year)
        for spell in car.lay_ups
    )
    return {
        "roads": str(Roads(car.car.roads)),
        "short_run_share": car.car.short_run_share,
        "laid_up": laid_up,
    }


def _films(ground: ChoiceGround, oil: OilInUnit, finding: Finding) -> dict[str, Any]:
    """Return film and flow with the oil in use; nothing where that can't be computed."""
    told: ChoiceCase = choice_case(ground)
    case = told.case
    filled = oil.lubricant or oil.prescribed
    if filled is None:
        return {}
    wanted = choice_key(filled)
    bearings = tuple(b for b in case.bearings if b.key == str(finding.position_id))
    judged = replace(case, bearings=bearings or case.bearings)
    choice = choose(judged)
    place = next((i for i, one in enumerate(case.oils) if one.key == wanted), None)
    if place is None:
        return {}
    found: dict[str, Any] = {}
    if case.pipe is not None:
        found["arrives_cold"] = bool(choice.cold.arrives[place])
    states: tuple[State, ...] = ("now", "built")
    state = next((one for one in states if one in choice.states), None)
    if state is None or not judged.bearings:
        return found
    row = list(choice.states).index(state)
    verdict = FilmVerdict(int(choice.verdict[row, place]))
    ratio = float(choice.film_ratio[row, place])
    found |= {
        "film_holds": verdict == FilmVerdict.HOLDS,
        "film_ratio": ratio if np.isfinite(ratio) and not verdict.no_film else None,
    }
    fed = tuple(b for b in case.bearings if getattr(b, state) is not None)
    if case.pipe is not None and case.pipe.pressure is not None and fed:
        try:
            supply = pipe_supply(
                replace(case, bearings=fed), state=state, oil=case.oils[place], pipe=case.pipe,
                temperatures_c=(case.warm_c,),
            )  # fmt: skip
        except OutOfRange:
            return found
        need = float(np.nansum(supply.need[0]))
        if need > 0:
            found["pipe_share"] = float(supply.at_least[0]) / need
    return found


def _coolant(finding: Finding) -> dict[str, Any]:
    unit, on = finding.unit, finding.seen_on
    step = (
        InspectionStep.objects.filter(
            inspection__unit=unit, freezes_at__isnull=False, inspection__started_on__lte=on
        )
        .order_by("-inspection__started_on", "-pk")
        .first()
    )
    if PositionKind.WATER_JACKET not in {p.kind for p in unit.design.positions.all()}:
        return {}
    winter = date(on.year if (on.month, on.day) >= WINTER_BEGINS else on.year - 1, *WINTER_BEGINS)
    checks: Sequence[tuple[Any, Any]] = coolant_checks_asked.send(
        sender=Unit, unit=unit, before=winter
    )
    last = max((day for _receiver, day in checks if day is not None), default=None)
    return {
        "coolant_freezes_at": step.freezes_at if step else None,
        "coldest": step.coldest if step else None,
        "coolant_checked": last is not None and last >= winter - timedelta(days=365),
    }


def _build(finding: Finding, use: UnitUse) -> dict[str, Any]:
    sheet = as_built(finding.unit).build
    if sheet is None:
        return {}
    here, on = finding.position_id, finding.seen_on
    entries = list(
        SheetEntry.objects.filter(
            build=sheet,
            name__in=["replaced", "pattern", "inserts", "origin", "cover"],
        )
    )
    at = {entry.name: entry.text for entry in entries if entry.position_id == here}
    patterns = {entry.text for entry in entries if entry.name == "pattern"} - {""}
    run_out = sheet.measurements.filter(position=here, quantity=MeasuredQuantity.RUN_OUT).first()
    limit = finding.position.run_out_limit if finding.position else None
    return {
        "since_build": _run_since(sheet.built_on, use, on),
        "new_white_metal": sheet.new_white_metal,
        "fasteners_other_pattern": "other" in patterns if patterns else None,
        "thread_inserts": True if at.get("inserts", "0") not in {"", "0"} else None,
        "part_origin": at.get("origin") or None,
        "cover": at.get("cover") or None,
        "run_out_over": run_out.value > limit if run_out is not None and limit else None,
    }


def _run_since(built_on: date, use: UnitUse, on: date) -> float | None:
    if built_on > on:
        return None
    # nought is no distance that was read: nobody wrote a reading down since
    return use.since(built_on, until=on) or None


def _measured(finding: Finding) -> dict[str, Any]:
    position = finding.position
    if position is None or finding.value is None:
        return {}
    against = held_against(finding.unit, position, finding.quantity)
    verdict = judge(finding.value, finding.quantity, against)
    share = finding.value / against.wear_limit if against.wear_limit else None
    return {"past_limit": verdict.because == Because.PAST_LIMIT, "clearance_share": share}


def _other_marks(finding: Finding, by: Person) -> frozenset[str]:
    rows = rules.scope(by, Permission.VIEW_FINDING, Finding.objects.filter(unit=finding.unit))
    seen = rows.filter(seen_on__range=(finding.seen_on - LOOK_BACK, finding.seen_on)).exclude(
        pk=finding.pk
    )
    return frozenset(seen.exclude(mark="").values_list("mark", flat=True))
