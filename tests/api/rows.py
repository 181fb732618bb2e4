"""One row of each list of the API, made as often as a test needs it."""

from collections.abc import Callable
from datetime import date, timedelta

from django.utils import timezone

from advisory.findings.enums import FindingState
from advisory.findings.models import CauseLine, Finding, Inspection, Measuring
from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.models import Lubricant, OilAdvice, OilService
from advisory.notices.enums import Stage
from advisory.notices.models import CalendarFeed, FollowUp, Mail, Reminder, Snooze, WebhookMessage
from advisory.people.enums import ConsentScope, OrganisationKind, Role
from advisory.people.models import Consent, Membership, Organisation
from advisory.plans.models import PlanItem, WorkDone
from advisory.register.enums import WorkKind
from advisory.register.models import Design, Unit
from advisory.usage.models import HourReading, LayUp, Reading
from tests.cast import make_arrangement, make_build, make_car, make_design, make_unit

DAY = date(2024, 3, 1)


def _unit(unit: Unit, number: int) -> Unit:
    assert unit.owner is not None
    car = make_car(unit.owner, f"Maker {number}")
    return make_unit(unit.owner, unit.design, car=car, serial=f"S{number}")


def _item(unit: Unit, number: int) -> PlanItem:
    return PlanItem.objects.create(
        unit=_unit(unit, number),
        work=WorkKind.SEAL_WEEP,
        anchor_date=DAY,
        due_distance=1.0e6,
        reasons=[],
    )


def _reminder(unit: Unit, number: int) -> None:
    assert unit.owner is not None
    Reminder.objects.create(item=_item(unit, number), cycle=1, stage=Stage.DUE, person=unit.owner)


def _consent(unit: Unit, number: int) -> None:
    assert unit.owner is not None
    other = Organisation.objects.create(kind=OrganisationKind.CLUB, name=f"Club {number}")
    Consent.objects.create(person=unit.owner, organisation=other, scope=ConsentScope.UNNAMED)


def _organisation(unit: Unit, number: int) -> None:
    assert unit.owner is not None
    other = Organisation.objects.create(kind=OrganisationKind.CLUB, name=f"Club {number}")
    Membership.objects.create(person=unit.owner, organisation=other, role=Role.MEMBER)


def _design(unit: Unit, number: int) -> Design:
    return make_design(None, f"Starter {number}")


def _finding(unit: Unit, number: int) -> None:
    Finding.objects.create(
        unit=unit,
        seen_on=DAY,
        text=f"Weep {number}",
        reported_by=unit.owner,
        state=FindingState.SENT,
        sent_at=timezone.now(),
    )


def _cause_line(unit: Unit, number: int) -> None:
    CauseLine.objects.create(
        design=unit.design,
        mark="cover_bowed",
        cause=f"Cause {number}",
        check_for="x",
        until_then="y",
    )


def _inspection(unit: Unit, number: int) -> None:
    row = Inspection.objects.create(unit=unit, started_on=DAY, scope="outside")
    row.steps.create(order=number, kind="strainer")


def _measuring(unit: Unit, number: int) -> None:
    place = unit.design.positions.get(name="Floating thrust washer")
    measuring = Measuring.objects.create(unit=unit, measured_on=DAY + timedelta(number))
    measuring.values.create(position=place, quantity="end_float", value=1e-4)


def _reading(unit: Unit, number: int) -> None:
    car = unit.fittings.get().car
    Reading.objects.create(
        odometer=car.odometers.get(), date=DAY + timedelta(number), shown=43_000 + number
    )


def _lay_up(unit: Unit, number: int) -> None:
    begun = DAY + timedelta(30 * number)
    LayUp.objects.create(
        car=unit.fittings.get().car, from_date=begun, until_date=begun + timedelta(9)
    )


def _hours(unit: Unit, number: int) -> None:
    HourReading.objects.create(unit=unit, date=DAY + timedelta(number), shown=3600.0 * number)


def _oil(unit: Unit, number: int) -> None:
    Lubricant.objects.create(
        name=f"Can {number}",
        family="engine",
        kinematic_viscosity_40=1.0e-4,
        kinematic_viscosity_100=1.1e-5,
        owner=unit.owner,
    )


def _build(unit: Unit, number: int) -> None:
    signer = Membership.objects.filter(organisation=unit.workshop_id).first()
    assert signer is not None
    make_build(_unit(unit, number), signer.person)


def _arrangement(unit: Unit, number: int) -> None:
    make_arrangement(_unit(unit, number))


def _service(unit: Unit, number: int) -> None:
    OilService.objects.create(unit=unit, date=DAY + timedelta(number), kind=ServiceKind.CHANGE)


def _advice(unit: Unit, number: int) -> None:
    OilAdvice.objects.create(
        unit=unit, method="oil-change", method_version="1", inputs={}, result={}, digest=number
    )


def _done(unit: Unit, number: int) -> None:
    WorkDone.objects.create(unit=unit, work=WorkKind.SEAL_WEEP, cycle=number, date=DAY)


def _fitting(unit: Unit, number: int) -> None:
    _unit(unit, number)


def _car(unit: Unit, number: int) -> None:
    _unit(unit, number)


def _feed(unit: Unit, number: int) -> None:
    assert unit.owner is not None
    CalendarFeed.objects.create(person=unit.owner)


def _webhook_message(unit: Unit, number: int) -> None:
    assert unit.owner is not None
    led = Organisation.objects.create(kind=OrganisationKind.WORKSHOP, name=f"Shop {number}")
    Membership.objects.create(person=unit.owner, organisation=led, role=Role.MANAGER)
    WebhookMessage.objects.create(
        organisation=led, key=f"trial:{number}", event="trial", give_up_at=timezone.now()
    )


def _follow_up(unit: Unit, number: int) -> None:
    FollowUp.objects.create(
        unit=unit, person=unit.owner, reason="silent", occasion=f"since-{number}", kind="call"
    )


def _bulletin(unit: Unit, number: int) -> None:
    assert unit.owner is not None
    led = Organisation.objects.create(kind=OrganisationKind.WORKSHOP, name=f"Works {number}")
    Membership.objects.create(person=unit.owner, organisation=led, role=Role.FITTER)
    led.bulletins.create(title=f"Bulletin {number}", text="Look.")


def _bulletin_unit(unit: Unit, number: int) -> None:
    assert unit.workshop is not None
    sent = unit.workshop.bulletins.create(title="B", text="Look.", sent_at=timezone.now())
    sent.units.create(unit=_unit(unit, number))


def _snooze(unit: Unit, number: int) -> None:
    assert unit.owner is not None
    Snooze.objects.create(
        item=_item(unit, number),
        cycle=1,
        person=unit.owner,
        reason="parts",
        until=DAY,
        ends_at=timezone.now(),
    )


def _sending(unit: Unit, number: int) -> None:
    mail = Mail.objects.create(
        key=f"k{number}",
        kind="reminder",
        person=unit.owner,
        to="a@b.example",
        message_id=f"<{number}>",
    )
    assert unit.owner is not None
    Reminder.objects.create(
        item=_item(unit, number), cycle=1, stage=Stage.DUE, person=unit.owner, mail=mail
    )


#: What adds a row to each list, on behalf of a unit's owner.
ADD: dict[str, Callable[[Unit, int], object]] = {
    "organisations": _organisation,
    "consents": _consent,
    "cars": _car,
    "odometers": _car,
    "readings": _reading,
    "lay-ups": _lay_up,
    "measurings": _measuring,
    "hour-readings": _hours,
    "designs": _design,
    "units": _unit,
    "builds": _build,
    "fittings": _fitting,
    "lubricants": _oil,
    "oil-arrangements": _arrangement,
    "oil-services": _service,
    "oil-advice": _advice,
    "plan-items": _item,
    "work-done": _done,
    "findings": _finding,
    "cause-lines": _cause_line,
    "inspections": _inspection,
    "reminders": _reminder,
    "follow-ups": _follow_up,
    "calendar-feeds": _feed,
    "bulletins": _bulletin,
    "bulletin-units": _bulletin_unit,
    "snoozes": _snooze,
    "sendings": _sending,
    "webhook-messages": _webhook_message,
}

#: Lists in which everybody finds something that belongs to nobody.
SHARED = {"designs", "lubricants"}
