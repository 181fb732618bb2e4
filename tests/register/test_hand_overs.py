"""A unit goes from hand to hand: codes, tags, letters, what goes along and what does not."""

from datetime import date, timedelta

import pytest
import time_machine
from django.core.cache import cache
from django.test import Client, override_settings
from django.urls import reverse
from django.utils import timezone

from advisory.common.errors import NotAllowed, Refused
from advisory.findings.actions import Size, record_measuring
from advisory.findings.models import Finding
from advisory.findings.queries import found_on, last_measured
from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.models import OilService
from advisory.notices.letters import Letter, Withheld, letter_for
from advisory.notices.models import Mail
from advisory.people import rules
from advisory.people.models import Consent, Organisation, Person
from advisory.people.rules import Permission
from advisory.plans.models import WorkDone
from advisory.register.actions import (
    CarData,
    NewOwner,
    claim_unit,
    offer_unit,
    take_back_offer,
    take_on_unit,
)
from advisory.register.claim_code import SIGNS, claim_url, code_from, new_nonce, qr_svg, tidy
from advisory.register.models import Car, Design, HandOver, Unit
from advisory.register.queries import open_offer
from advisory.usage.models import Reading
from advisory.usage.queries import unit_use
from tests.cast import make_car, make_person, make_unit

pytestmark = pytest.mark.django_db
NOBODYS_CAR = NewOwner()


@pytest.fixture
def bench(design: Design, workshop: Organisation) -> Unit:
    """Give a unit on the workshop's books that has no owner yet."""
    return make_unit(None, design, workshop=workshop, serial="0900")


def code_of(offer: HandOver) -> str:
    return code_from(offer.nonce)


def test_code_is_read_however_it_is_typed() -> None:
    code = code_from(new_nonce())
    assert len(tidy(code)) == 12
    assert set(tidy(code)) <= set(SIGNS)
    assert tidy(f" {code.lower().replace('-', ' ')} ") == tidy(code)
    assert len({code_from(new_nonce()) for _ in range(200)}) == 200


def test_square_holds_the_address() -> None:
    drawn = qr_svg(claim_url("ABCD-EFGH-JKMN"))
    assert drawn.startswith("<svg")
    assert "style=" not in drawn


def test_workshop_gives_a_unit_with_a_tag(
    bench: Unit, fitter: Person, owner: Person, workshop: Organisation
) -> None:
    offer = offer_unit(unit=bench, by=fitter)
    assert code_of(offer) not in (offer.digest, offer.nonce)
    new = NewOwner(consents=True, car=CarData(maker="Wexcombe"), shown=41_000)
    unit = claim_unit(code=code_of(offer).lower(), by=owner, new=new)
    assert unit.owner == owner
    assert str(unit.fittings.get().car) == "Wexcombe"
    assert Reading.objects.get().shown == 41_000
    assert rules.may(fitter, Permission.VIEW_USE, unit)
    with pytest.raises(Refused, match="used already"):
        claim_unit(code=code_of(offer), by=owner, new=NOBODYS_CAR)


def test_without_a_word_the_workshop_sees_nothing_of_its_use(
    bench: Unit, fitter: Person, owner: Person
) -> None:
    offer = offer_unit(unit=bench, by=fitter)
    unit = claim_unit(code=code_of(offer), by=owner, new=NewOwner(consents=False))
    assert not Consent.objects.exists()
    assert not rules.may(fitter, Permission.VIEW_USE, unit)
    with pytest.raises(NotAllowed):
        offer_unit(unit=unit, by=fitter)


def test_letter_goes_whether_or_not_there_is_an_account_and_opens_for_that_address_alone(
    bench: Unit, fitter: Person, owner: Person
) -> None:
    offer = offer_unit(unit=bench, by=fitter, email=" New.Owner@example.com ")
    mail = Mail.objects.get()
    letter = letter_for(mail, timezone.now())
    assert isinstance(letter, Letter)
    assert letter.to == "new.owner@example.com"
    assert claim_url(code_of(offer)) in letter.text
    assert mail.text == ""  # nothing that opens a door lies in the table
    with pytest.raises(Refused, match="another address"):
        claim_unit(code=code_of(offer), by=owner, new=NOBODYS_CAR)
    newcomer = make_person("New Owner")
    assert claim_unit(code=code_of(offer), by=newcomer, new=NOBODYS_CAR).owner == newcomer
    assert isinstance(letter_for(Mail.objects.get(), timezone.now()), Withheld)


def test_later_offer_ends_the_earlier_one(bench: Unit, fitter: Person, owner: Person) -> None:
    first = offer_unit(unit=bench, by=fitter)
    second = offer_unit(unit=bench, by=fitter)
    assert open_offer(bench) == second
    with pytest.raises(Refused, match="taken back"):
        claim_unit(code=code_of(first), by=owner, new=NOBODYS_CAR)
    take_back_offer(offer=second, by=fitter)
    assert open_offer(bench) is None
    with pytest.raises(Refused, match="taken back"):
        claim_unit(code=code_of(second), by=owner, new=NOBODYS_CAR)


def test_code_runs_out(bench: Unit, fitter: Person, owner: Person) -> None:
    offer = offer_unit(unit=bench, by=fitter)
    with time_machine.travel(timezone.now() + timedelta(days=181)):
        assert open_offer(bench) is None
        with pytest.raises(Refused, match="run out"):
            claim_unit(code=code_of(offer), by=owner, new=NOBODYS_CAR)


def test_tag_is_made_anew_after_the_secret_key_changed(bench: Unit, fitter: Person) -> None:
    offer_unit(unit=bench, by=fitter)
    with override_settings(SECRET_KEY="another"):
        assert open_offer(bench) is None


def test_only_who_has_it_may_offer_it(
    bench: Unit, unit: Unit, other_fitter: Person, stranger: Person, officer: Person,
    fitter: Person, consent: Consent,
) -> None:  # fmt: skip
    for person in (other_fitter, stranger, officer):
        for row in (bench, unit):
            with pytest.raises(NotAllowed):
                offer_unit(unit=row, by=person)
    with pytest.raises(NotAllowed):
        offer_unit(unit=unit, by=fitter)  # it has an owner, whatever the workshop may see


# Sold --------------------------------------------------------------------------------------------


@pytest.fixture
def lived(whole_unit: Unit, car: Car, owner: Person) -> Unit:
    """Give a unit with a history that names its owner here and there."""
    odometer = car.odometers.get()
    for day, shown in ((date(2023, 4, 2), 41_300), (date(2024, 5, 1), 43_000)):
        Reading.objects.create(
            odometer=odometer, date=day, shown=shown, note="at Orla's sister", entered_by=owner
        )
    OilService.objects.create(
        unit=whole_unit, date=date(2024, 5, 1), kind=ServiceKind.CHANGE, shown=43_000,
        note="42 pounds at the fair", entered_by=owner,
    )  # fmt: skip
    WorkDone.objects.create(
        unit=whole_unit, work="pipe_check", cycle=1, date=date(2024, 5, 1), note="Orla", by=owner
    )
    Finding.objects.create(
        unit=whole_unit, seen_on=date(2024, 5, 1), text="Weep at the drive end", reported_by=owner
    )
    return whole_unit


def test_sold_without_its_car_it_takes_its_history_and_not_its_owner(
    lived: Unit, car: Car, owner: Person, second_owner: Person, fitter: Person
) -> None:
    came = unit_use(lived).distance()
    offer = offer_unit(unit=lived, by=owner)
    elsewhere = make_car(second_owner, "Quarley")
    new = NewOwner(consents=False, car=elsewhere, shown=9_000)
    claim_unit(code=code_of(offer), by=second_owner, new=new)
    unit = Unit.objects.get(pk=lived.pk)
    assert unit.owner == second_owner
    assert unit_use(unit).distance() == pytest.approx(came)
    assert rules.may(second_owner, Permission.VIEW_USE, unit)
    for person in (owner, fitter):
        assert not rules.may(person, Permission.VIEW_USE, unit)
        assert not rules.scope(person, Permission.VIEW_FINDING, Finding.objects.all())
    assert not rules.may(second_owner, Permission.VIEW_USE, car)
    service, done, finding = OilService.objects.get(), WorkDone.objects.get(), Finding.objects.get()
    assert (service.note, service.entered_by, service.shown) == ("", None, 43_000)
    assert (done.note, done.by) == ("", None)
    assert (finding.reported_by, finding.text) == (None, "Weep at the drive end")
    assert Reading.objects.filter(note="at Orla's sister").count() == 2  # the car's, still hers


def test_sold_with_its_car_all_of_the_owners_in_it_goes_along(
    lived: Unit, car: Car, design: Design, owner: Person, second_owner: Person, stranger: Person
) -> None:
    other = make_unit(owner, design, serial="0500", car=car)
    offer = offer_unit(unit=lived, by=owner, with_car=True)
    claim_unit(code=code_of(offer), by=second_owner, new=NOBODYS_CAR)
    car.refresh_from_db()
    other.refresh_from_db()
    assert car.owner == other.owner == second_owner
    assert set(Reading.objects.values_list("note", "entered_by")) == {("", None)}
    assert lived.fittings.get().until_date is None
    assert not rules.may(owner, Permission.VIEW_USE, car)


def test_own_unit_is_not_claimed(lived: Unit, owner: Person) -> None:
    offer = offer_unit(unit=lived, by=owner)
    with pytest.raises(Refused, match="yours already"):
        claim_unit(code=code_of(offer), by=owner, new=NOBODYS_CAR)
    assert open_offer(lived) == offer


def test_number_nobody_believes_leaves_all_as_it_was(
    lived: Unit, owner: Person, second_owner: Person
) -> None:
    theirs = make_car(second_owner, "Quarley")
    Reading.objects.create(odometer=theirs.odometers.get(), date=date(2024, 6, 1), shown=20_000)
    offer = offer_unit(unit=lived, by=owner)
    with pytest.raises(Refused):
        claim_unit(
            code=code_of(offer), by=second_owner, new=NewOwner(car=theirs, shown=3_000)
        )  # fmt: skip
    lived.refresh_from_db()
    assert lived.owner == owner
    assert open_offer(lived) == offer
    assert OilService.objects.get().note == "42 pounds at the fair"


# Brought to a workshop ----------------------------------------------------------------------------


@pytest.fixture
def alone(owner: Person, starter_design: Design, car: Car) -> Unit:
    """Give a unit that no workshop built."""
    return make_unit(owner, starter_design, serial="77", car=car)


def test_workshop_takes_on_what_an_owner_brings_and_starts_from_what_was_measured(
    alone: Unit, owner: Person, fitter: Person, workshop: Organisation
) -> None:
    place = alone.design.positions.get(name="Floating thrust washer")
    size = Size(position=place, value=1e-4, as_typed="0.1 mm")
    record_measuring(unit=alone, by=owner, measured_on=date(2024, 5, 1), sizes=[size])
    offer = offer_unit(unit=alone, by=owner, for_workshop=True, consents=True)
    with pytest.raises(Refused, match="for a workshop"):
        claim_unit(code=code_of(offer), by=fitter, new=NOBODYS_CAR)
    unit = take_on_unit(code=code_of(offer), workshop=workshop, by=fitter)
    assert (unit.workshop, unit.owner) == (workshop, owner)
    assert Consent.objects.get().person == owner
    assert last_measured(found_on([unit], fitter), None)[place.pk].value == pytest.approx(1e-4)
    assert rules.may(fitter, Permission.BUILD_UNIT, unit)
    with pytest.raises(Refused, match="used already"):
        take_on_unit(code=code_of(offer), workshop=workshop, by=fitter)


def test_without_a_word_the_workshop_has_its_own_record_only(
    alone: Unit, owner: Person, fitter: Person, workshop: Organisation, design: Design
) -> None:
    offer = offer_unit(unit=alone, by=owner, for_workshop=True)
    unit = take_on_unit(code=code_of(offer), workshop=workshop, by=fitter, design=design)
    assert unit.design == design
    assert not Consent.objects.exists()
    assert not rules.may(fitter, Permission.VIEW_USE, unit)


def test_nothing_is_taken_on_that_was_not_brought(
    alone: Unit, unit: Unit, owner: Person, fitter: Person, other_fitter: Person,
    workshop: Organisation,
) -> None:  # fmt: skip
    sold = offer_unit(unit=alone, by=owner)
    with pytest.raises(Refused, match="next owner"):
        take_on_unit(code=code_of(sold), workshop=workshop, by=fitter)
    with pytest.raises(Refused, match="books already"):
        offer_unit(unit=unit, by=owner, for_workshop=True)
    brought = offer_unit(unit=alone, by=owner, for_workshop=True)
    with pytest.raises(NotAllowed):
        take_on_unit(code=code_of(brought), workshop=workshop, by=other_fitter)
    make_unit(None, unit.design, workshop=workshop, serial="77")
    with pytest.raises(Refused, match="serial number 77"):
        take_on_unit(code=code_of(brought), workshop=workshop, by=fitter)


def test_fitter_types_the_code_that_an_owner_made(
    client: Client, alone: Unit, owner: Person, fitter: Person, workshop: Organisation
) -> None:
    cache.clear()
    client.force_login(owner)
    url = reverse("register:hand_over", args=[alone.pk])
    client.post(url, {"how": "workshop", "consents": "on"})
    code = code_of(HandOver.objects.get())
    here = reverse("register:claim", args=[tidy(code)])
    assert "for a workshop" in client.get(here).content.decode()
    client.force_login(fitter)
    take_on = reverse("register:take_on", args=[workshop.pk])
    assert take_on in client.get(here).content.decode()
    answer = client.post(take_on, {"code": "ABCD EFGH JKMN"})
    assert answer.status_code == 422
    assert client.post(take_on, {"code": code}).status_code == 302
    alone.refresh_from_db()
    assert alone.workshop == workshop
    cache.clear()


# Pages -------------------------------------------------------------------------------------------


def test_fitter_prints_a_tag_and_a_stranger_claims_with_it(
    client: Client, bench: Unit, fitter: Person, owner: Person
) -> None:
    client.force_login(fitter)
    answer = client.post(reverse("register:hand_over", args=[bench.pk]), {"how": "tag"})
    page = client.get(answer.headers["Location"]).content.decode()
    code = code_of(HandOver.objects.get())
    assert code in page
    assert "<svg" in page
    client.logout()
    answer = client.post(reverse("register:claim_code"), {"code": code.lower()})
    here = answer.headers["Location"]
    page = client.get(here).content.decode()
    assert "Make an account" in page
    assert "0900" in page
    client.force_login(owner)
    answer = client.post(here, {"car": "none", "date": "2024-05-01"})
    assert answer.status_code == 422
    assert "Say yes or no" in answer.content.decode()
    wrong = {"consents": "yes", "car": "new", "maker": "", "odometer_unit": "mile",
             "odometer_digits": "5", "date": "2024-05-01", "shown": "41000"}  # fmt: skip
    answer = client.post(here, wrong)
    assert "Say who made the car" in answer.content.decode()
    assert 'value="41000"' in answer.content.decode()
    answer = client.post(here, wrong | {"maker": "Wexcombe"})
    assert answer.status_code == 302
    bench.refresh_from_db()
    assert bench.owner == owner
    assert client.get(here).status_code == 410


def test_wrong_codes_say_nothing_and_are_held_back(client: Client, bench: Unit) -> None:
    cache.clear()
    url = reverse("register:claim_code")
    assert "twelve signs" in client.post(url, {"code": "ABC"}).content.decode()
    for _try in range(20):
        answer = client.post(url, {"code": "ABCD-EFGH-JKMN"})
        assert answer.status_code == 422
        assert "0900" not in answer.content.decode()
    assert client.post(url, {"code": "ABCD-EFGH-JKMN"}).status_code == 429
    assert client.get(reverse("register:claim", args=["ABCDEFGHJKMP"])).status_code == 429
    cache.clear()


def test_who_signs_up_on_the_way_comes_back_to_the_claim(
    client: Client, bench: Unit, fitter: Person
) -> None:
    here = reverse("register:claim", args=[tidy(code_of(offer_unit(unit=bench, by=fitter)))])
    client.get(here)
    assert client.session["come-back-to"] == here


def test_owner_passes_it_on_and_takes_it_back(client: Client, lived: Unit, owner: Person) -> None:
    client.force_login(owner)
    url = reverse("register:hand_over", args=[lived.pk])
    answer = client.post(url, {"how": "letter", "email": ""})
    assert "Enter the address" in answer.content.decode()
    assert client.post(url, {"how": "letter", "email": owner.email}).status_code in {302, 422}
    client.post(url, {"how": "tag", "with_car": "on"})
    assert open_offer(lived).with_car
    client.post(reverse("register:take_back_offer", args=[lived.pk]))
    assert open_offer(lived) is None


def test_programs_offer_and_claim(
    client: Client, bench: Unit, fitter: Person, owner: Person
) -> None:
    cache.clear()
    client.force_login(fitter)
    answer = client.post(f"/api/v1/units/{bench.pk}/hand_over/", {}, "application/json")
    assert answer.status_code == 201
    code = answer.json()["code"]
    client.force_login(owner)
    wrong = client.post("/api/v1/claims/", {"code": "ABCDEFGHJKMN"}, "application/json")
    assert wrong.status_code == 422
    assert wrong.json()["errors"][0]["field"] == "code"
    answer = client.post("/api/v1/claims/", {"code": code}, "application/json")
    assert answer.status_code == 201
    assert answer.json()["id"] == bench.pk
    cache.clear()
