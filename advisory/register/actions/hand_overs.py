"""Giving a unit to its owner, and passing it on: offered with a code, claimed by its holder."""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.actions import give_consent
from advisory.people.clock import today_of
from advisory.people.enums import ConsentScope
from advisory.people.models import Organisation, Person
from advisory.people.queries import owns_address
from advisory.people.rules import Permission
from advisory.register.actions.cars import add_car
from advisory.register.actions.fittings import fit_unit
from advisory.register.actions.starting import CarData
from advisory.register.claim_code import NO_SUCH_CODE, code_from, digest_of_code, new_nonce
from advisory.register.models import Car, Design, Fitting, HandOver, Unit
from advisory.register.signals import unit_changed, unit_offered, unit_passed_on

# set for this service: a tag may wait in a glove box over a winter
HOLDS_FOR = timedelta(days=180)


@dataclass(frozen=True, kw_only=True)
class NewOwner:
    """What whoever claims a unit tells: a word to its workshop, the car, its odometer.

    `consents` None: not asked, there is no workshop. `car` None: it is in no car, or its own goes
    along.
    """

    consents: bool | None = None
    car: Car | CarData | None = None
    fitted_on: date | None = None
    shown: int | None = None
    confirm: bool = False


@transaction.atomic
def offer_unit(
    *,
    unit: Unit,
    by: Person,
    email: str = "",
    with_car: bool = False,
    for_workshop: bool = False,
    consents: bool = False,
) -> HandOver:
    """Offer a unit to its owner to be: by letter to an address, or to whoever holds its tag.

    `for_workshop`: it is brought to a workshop, which takes it on; its owner stays, and `consents`
    lets that workshop see how it is used.

    A workshop offers what has no owner yet, an owner what is theirs. An earlier offer that still
    waits is taken back: its code no longer opens anything.

    Raises
    ------
    Refused
        For an address that is none, or one's own.
    """
    _require_giver(unit, by)
    unit = Unit.objects.select_for_update().get(pk=unit.pk)
    _require_giver(unit, by)
    email = email.strip().lower()
    if email:
        try:
            validate_email(email)
        except ValidationError as error:
            words = _("Enter the whole address, such as name@example.org.")
            raise Refused(words, field="email") from error
        if unit.owner_id is not None and owns_address(by, email):
            raise Refused(_("That is your own address."), field="email", code="own_address")
    if with_car and not (unit.owner_id and unit.fittings.filter(until_date=None).exists()):
        raise Refused(_("It is in no car that could go along."), field="with_car", code="no_car")
    if for_workshop and (unit.workshop_id is not None or email or with_car):
        raise Refused(
            _("It is on a workshop's books already. Ask them when another is to take it on."),
            field="how",
            code="on_the_books",
        )
    now = timezone.now()
    HandOver.objects.filter(unit=unit, claimed_at=None, withdrawn_at=None).update(withdrawn_at=now)
    nonce = new_nonce()
    offer = HandOver.objects.create(
        unit=unit,
        nonce=nonce,
        digest=digest_of_code(code_from(nonce)),
        email=email,
        with_car=with_car,
        for_workshop=for_workshop,
        consents=for_workshop and consents,
        made_by=by,
        expires_at=now + HOLDS_FOR,
    )
    audit.record("offer_unit", offer, by=by, unit=unit.pk, email=email, with_car=with_car)
    if email:
        unit_offered.send(sender=HandOver, offer=offer)
    return offer


@transaction.atomic
def take_back_offer(*, offer: HandOver, by: Person) -> None:
    """Take an offer back; its code opens nothing from now on.

    Raises
    ------
    Refused
        If it was claimed meanwhile.
    """
    _require_giver(offer.unit, by)
    waiting = HandOver.objects.select_for_update().get(pk=offer.pk)
    if waiting.claimed_at is not None:
        raise Refused(_("It was claimed meanwhile."), code="claimed")
    if waiting.withdrawn_at is None:
        waiting.withdrawn_at = timezone.now()
        waiting.save(update_fields=["withdrawn_at"])
        audit.record("take_back_offer", waiting, by=by, unit=waiting.unit_id)


@transaction.atomic
def claim_unit(*, code: str, by: Person, new: NewOwner) -> Unit:
    """Take a unit over with its code: it is one's own from now on, with its technical history.

    The former owner's person and notes don't go along: who keeps such rows hears `unit_passed_on`
    and takes them out. Their car does where it was sold with it, else the unit's stay in it ends
    today.

    Raises
    ------
    Refused
        If the code opens nothing (any more), or is another's; as `fit_unit` does. `Question` for a
        number that is not believed. Nothing is done then.
    """
    offer = _opened(code, by)
    if offer.for_workshop:
        raise Refused(
            _("This code is for a workshop: its people type it where they take a unit on."),
            field="code",
            code="for_workshop",
        )
    unit = Unit.objects.select_for_update(of=("self",)).select_related("workshop").get(
        pk=offer.unit_id
    )  # fmt: skip
    former = unit.owner
    if former == by:
        raise Refused(_("This unit is yours already."), code="own_unit")
    offer.claimed_at, offer.claimed_by = timezone.now(), by
    offer.save(update_fields=["claimed_at", "claimed_by"])
    together = _take_over(unit, former, by, with_car=offer.with_car)
    audit.record(
        "claim_unit",
        offer,
        by=by,
        unit=unit.pk,
        former=former and former.pk,
        units=[row.pk for row in together],
    )
    if new.consents and unit.workshop is not None:
        give_consent(organisation=unit.workshop, scope=ConsentScope.RECORDS, by=by)
    if new.car is not None and not unit.fittings.filter(until_date=None).exists():
        car = add_car(by=by, **vars(new.car)) if isinstance(new.car, CarData) else new.car
        fit_unit(
            unit=unit,
            car=car,
            date=new.fitted_on or today_of(by),
            shown=new.shown,
            by=by,
            confirm=new.confirm,
        )
    for row in together:
        transaction.on_commit(partial(unit_changed.send, Unit, unit=row))
    return unit


@transaction.atomic
def take_on_unit(
    *, code: str, workshop: Organisation, by: Person, design: Design | None = None
) -> Unit:
    """Take a unit that an owner brings onto a workshop's books; what its owner wrote stays.

    Its owner stays its owner, and what they measured is where the workshop starts from. `design`:
    the workshop's own, where the unit was told by a starter design.

    Raises
    ------
    Refused
        If the code opens nothing (any more) or is meant for an owner, or the serial number is on
        the books already.
    """
    rules.require(by, Permission.REGISTER_UNIT, workshop)
    offer = _opened(code, by)
    if not offer.for_workshop:
        raise Refused(
            _("This code is for the unit's next owner, and not for a workshop."),
            field="code",
            code="for_owner",
        )
    unit = Unit.objects.select_for_update(of=("self",)).get(pk=offer.unit_id)
    if unit.workshop_id is not None or unit.owner is None:
        raise Refused(_("It is on a workshop's books already."), field="code", code="on_the_books")
    if design is not None:
        rules.require(by, Permission.VIEW_DESIGN, design)
        if design.workshop_id not in (None, workshop.pk):
            raise Refused(_("Choose a design of your own."), field="design")
        unit.design = design
    if unit.serial and Unit.objects.filter(workshop=workshop, serial=unit.serial).exists():
        raise Refused(
            _("You have a unit with the serial number %(serial)s. Ask its owner to look again.")
            % {"serial": unit.serial},
            field="code",
            code="serial_taken",
        )
    unit.workshop = workshop
    unit.save(update_fields=["workshop", "design"])
    offer.claimed_at, offer.claimed_by = timezone.now(), by
    offer.save(update_fields=["claimed_at", "claimed_by"])
    audit.record("take_on_unit", offer, by=by, unit=unit.pk, workshop=workshop.pk)
    if offer.consents:
        # the owner's own word, given with the offer
        give_consent(organisation=workshop, scope=ConsentScope.RECORDS, by=unit.owner)
    transaction.on_commit(partial(unit_changed.send, Unit, unit=unit))
    return unit


def _opened(code: str, by: Person) -> HandOver:
    """Return the offer that a code opens, locked."""
    offer = (
        HandOver.objects.select_for_update(of=("self",))
        .select_related("unit__workshop")
        .filter(digest=digest_of_code(code))
        .first()
    )
    _check_opens(offer, by)
    assert offer is not None
    return offer


def _take_over(unit: Unit, former: Person | None, by: Person, *, with_car: bool) -> list[Unit]:
    """Make a unit the acting person's, with its car and what else is in it if that was sold too."""
    stay = Fitting.objects.select_related("car").filter(unit=unit, until_date=None).first()
    units = [unit]
    if former is not None and stay is not None and with_car:
        car = Car.objects.select_for_update().get(pk=stay.car_id)
        units += [
            row.unit
            for row in car.fittings.select_related("unit").filter(
                until_date=None, unit__owner=former
            )
            if row.unit_id != unit.pk
        ]
        car.owner = by
        car.save(update_fields=["owner"])
    elif former is not None and stay is not None:
        stay.until_date = max(today_of(former), stay.from_date)
        stay.save(update_fields=["until_date"])
    for row in units:
        row.owner = by
        row.save(update_fields=["owner"])
        if former is not None:
            unit_passed_on.send(sender=Unit, unit=row, former=former, with_car=with_car)
    return units


def _require_giver(unit: Unit, by: Person) -> None:
    """Require that a unit is the acting person's to give."""
    unowned = unit.owner_id is None
    rules.require(by, Permission.BUILD_UNIT if unowned else Permission.PASS_ON, unit)


def _check_opens(offer: HandOver | None, by: Person) -> None:
    if offer is None:
        raise Refused(str(NO_SUCH_CODE), field="code", code="unknown")
    if offer.withdrawn_at is not None:
        words = _("This code was taken back. Ask whoever gave it to you for a new one.")
        raise Refused(words, field="code", code="withdrawn")
    if offer.claimed_at is not None:
        raise Refused(_("This code was used already."), field="code", code="claimed")
    if offer.expires_at <= timezone.now():
        words = _("This code has run out. Ask whoever gave it to you for a new one.")
        raise Refused(words, field="code", code="expired")
    if offer.email and not owns_address(by, offer.email):
        raise Refused(
            _(
                "It was offered by letter to another address than yours. Sign in with the account"
                " of that address, or ask for a tag or a letter to the one that you use here."
            ),
            field="code",
            code="other_address",
        )
