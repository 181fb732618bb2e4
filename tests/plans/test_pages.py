"""The first page, the unit's page, an item's page, and writing down what was done."""

import re
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from advisory.findings.enums import FindingState, Judgement
from advisory.findings.models import Finding
from advisory.lubrication.enums import Filtration
from advisory.lubrication.models import OilService
from advisory.people.models import Consent, Organisation, Person
from advisory.plans.actions import mark_done, refresh_plan, refresh_plans
from advisory.plans.models import PlanItem, WearMark, WorkDone
from advisory.register.enums import MeasuredQuantity, PositionKind, WorkKind
from advisory.register.models import Car, Design, Odometer, Unit
from advisory.usage.models import Reading
from tests.cast import make_arrangement, make_build, make_car, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def as_owner(client: Client, owner: Person) -> Client:
    client.force_login(owner)
    return client


def words(page: object) -> str:
    """Return the words of a page, as a reader meets them."""
    text = re.sub(r"<[^>]+>", " ", page.content.decode())
    return re.sub(r"\s+", " ", text)


def stop_finding(unit: Unit, **fields: object) -> Finding:
    position = unit.design.positions.get(kind=PositionKind.THRUST_WASHER)
    said = {
        "unit": unit,
        "position": position,
        "seen_on": date(2024, 6, 8),
        "text": "It clonks.",
        "quantity": MeasuredQuantity.END_FLOAT,
        "value": 0.3e-3,
        "as_typed": "0.3 mm",
        "judgement": Judgement.STOP,
        "state": FindingState.SENT,
        "sent_at": timezone.now(),
        "reported_by": unit.owner,
    }
    return Finding.objects.create(**{**said, **fields})


def oil_changed_on(unit: Unit, day: date, owner: Person) -> None:
    mark_done(unit=unit, work=WorkKind.OIL_CHANGE, date=day, by=owner)


# Home --------------------------------------------------------------------------------------------


def test_home_of_one_unit_answers_what_and_when(
    today: date, as_owner: Client, whole_unit: Unit, car: Car, readings: list[Reading]
) -> None:
    refresh_plan(unit=whole_unit)
    page = as_owner.get(reverse("home"))
    assert page.status_code == 200
    said = words(page)
    assert "<h1" in page.content.decode()
    assert page.content.decode().count("<h1") == 1
    assert "Pattern 4 blower 0417, in the 1931 Harrow Vale Twelve: what does it need next?" in said
    assert "Oil change" in said
    assert "Overdue" in said
    assert reverse("usage:reading_new", args=[car.pk]) in page.content.decode()
    assert reverse("plans:done", args=[whole_unit.pk, "oil_change"]) in page.content.decode()


def test_home_tells_it_in_the_readers_units(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit, readings: list[Reading]
) -> None:
    oil_changed_on(whole_unit, date(2024, 6, 1), owner)
    for work in (WorkKind.PIPE_CHECK, WorkKind.END_FLOAT, WorkKind.SEAL_WEEP,
                 WorkKind.FILTER_CHANGE):  # fmt: skip
        mark_done(unit=whole_unit, work=work, date=date(2024, 6, 1), by=owner)
    assert " miles (odometer 4" in words(as_owner.get(reverse("home")))
    owner.distance_unit = "km"
    owner.volume_unit = "pint"
    owner.save()
    said = words(as_owner.get(reverse("home")))
    assert " km (odometer 4" in said
    assert " miles" not in said.replace("Odometer", "")
    item = reverse("plans:item", args=[whole_unit.pk, "oil_change"])
    assert "2.1 pints" in words(as_owner.get(item))


def test_home_puts_the_most_pressing_unit_first(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit, fitter: Person
) -> None:
    quiet = make_unit(owner, whole_unit.design, serial="quiet", car=make_car(owner, "Quiet"))
    make_build(quiet, fitter, date(2024, 6, 1))
    refresh_plans(units=[whole_unit.pk, quiet.pk])
    said = words(as_owner.get(reverse("home")))
    assert "What do your units need next, and when?" in said
    assert said.index("0417") < said.index("quiet")


def test_home_shows_nobody_elses_units(
    today: date, client: Client, second_owner: Person, whole_unit: Unit
) -> None:
    refresh_plan(unit=whole_unit)
    own = make_unit(second_owner, whole_unit.design, serial="mine", car=make_car(second_owner))
    refresh_plan(unit=own)
    client.force_login(second_owner)
    said = words(client.get(reverse("home")))
    assert "mine" in said
    assert "0417" not in said


def test_home_of_nobody_yet_says_how_to_begin(client: Client, stranger: Person) -> None:
    client.force_login(stranger)
    page = client.get(reverse("home"))
    assert reverse("register:unit_new") in page.content.decode()


def test_home_of_a_workshop_is_its_inbox(client: Client, fitter: Person) -> None:
    client.force_login(fitter)
    assert client.get(reverse("home")).url == reverse("findings:inbox")


def test_home_of_an_officer_is_the_fleet(
    client: Client, officer: Person, club: Organisation
) -> None:
    client.force_login(officer)
    assert client.get(reverse("home")).url == reverse("reports:fleet", args=[club.pk])


def test_home_asks_who_is_there(client: Client) -> None:
    assert "login" in client.get(reverse("home")).url


def test_home_of_a_laid_up_car_rests(
    today: date, as_owner: Client, owner: Person, unit: Unit, car: Car
) -> None:
    oil_changed_on(unit, date(2024, 6, 1), owner)
    car.lay_ups.create(from_date=date(2024, 6, 5))
    refresh_plan(unit=unit)
    page = as_owner.get(reverse("home"))
    said = words(page)
    assert "Nothing now" in said
    assert "Laid up since 5 June 2024" in said
    assert "After that: coolant strength, about October 2024." in said
    assert reverse("usage:return", args=[car.pk]) in page.content.decode()


def test_home_makes_up_a_plan_that_was_lost(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    assert not PlanItem.objects.exists()
    assert "Oil change" in words(as_owner.get(reverse("home")))
    assert PlanItem.objects.exists()


def test_home_costs_the_same_for_one_unit_and_three(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit, fitter: Person,
    readings: list[Reading],
) -> None:  # fmt: skip
    stop_finding(whole_unit)
    refresh_plan(unit=whole_unit)
    as_owner.get(reverse("home"))
    with CaptureQueriesContext(connection) as one:
        as_owner.get(reverse("home"))
    for number in range(2):
        unit = make_unit(
            owner, whole_unit.design, serial=str(number), car=make_car(owner, f"Car {number}")
        )
        make_build(unit, fitter)
        make_arrangement(unit)
        stop_finding(unit)
        refresh_plan(unit=unit)
    with CaptureQueriesContext(connection) as three:
        as_owner.get(reverse("home"))
    assert len(three) == len(one)


# What stands against running it ------------------------------------------------------------------


@pytest.mark.parametrize("page", ["home", "unit", "item"])
def test_stop_stands_above_all_else(
    today: date, as_owner: Client, whole_unit: Unit, page: str
) -> None:
    refresh_plan(unit=whole_unit)
    finding = stop_finding(whole_unit)
    url = {
        "home": reverse("home"),
        "unit": reverse("plans:unit", args=[whole_unit.pk]),
        "item": reverse("plans:item", args=[whole_unit.pk, "oil_change"]),
    }[page]
    content = as_owner.get(url).content.decode()
    assert "Stop and ask the workshop" in content
    assert reverse("findings:finding", args=[finding.pk]) in content
    assert content.index("Stop and ask the workshop") < content.index("next-thing")


def test_ask_is_said_more_quietly(today: date, as_owner: Client, whole_unit: Unit) -> None:
    refresh_plan(unit=whole_unit)
    stop_finding(whole_unit, judgement=Judgement.ASK)
    said = words(as_owner.get(reverse("home")))
    assert "Ask the workshop before you run it" in said
    assert "Stop and ask the workshop" not in said


def test_stop_stands_when_it_was_answered(today: date, as_owner: Client, whole_unit: Unit) -> None:
    refresh_plan(unit=whole_unit)
    stop_finding(whole_unit, state=FindingState.ANSWERED, first_answered_at=timezone.now())
    said = words(as_owner.get(reverse("home")))
    assert "Stop and ask the workshop" in said
    assert "The workshop has answered: read it" in said


def test_stop_is_lifted_by_a_good_figure_at_the_same_place(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    refresh_plan(unit=whole_unit)
    stop_finding(whole_unit)
    stop_finding(whole_unit, judgement=Judgement.GOOD, seen_on=date(2024, 6, 9), value=0.1e-3)
    assert "Stop and ask the workshop" not in words(as_owner.get(reverse("home")))


def test_stop_is_not_lifted_by_words_or_another_place(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    refresh_plan(unit=whole_unit)
    stop_finding(whole_unit)
    other = whole_unit.design.positions.get(kind=PositionKind.LIP_SEAL)
    for fields in (
        {"judgement": Judgement.UNJUDGED, "value": None, "quantity": ""},
        {"judgement": Judgement.GOOD, "position": other, "quantity": "wear_depth"},
    ):
        stop_finding(whole_unit, seen_on=date(2024, 6, 9), **fields)
    assert "Stop and ask the workshop" in words(as_owner.get(reverse("home")))


def test_stop_is_lifted_by_a_rebuild(
    today: date, as_owner: Client, whole_unit: Unit, fitter: Person
) -> None:
    refresh_plan(unit=whole_unit)
    stop_finding(whole_unit)
    make_build(whole_unit, fitter, date(2024, 6, 9))
    assert "Stop and ask the workshop" not in words(as_owner.get(reverse("home")))


def test_workshop_sees_no_stop_that_was_not_sent(
    today: date, client: Client, whole_unit: Unit, fitter: Person
) -> None:
    refresh_plan(unit=whole_unit)
    finding = stop_finding(whole_unit)
    client.force_login(fitter)
    url = reverse("plans:unit", args=[whole_unit.pk])
    assert "Stop and ask the workshop" in words(client.get(url))
    Finding.objects.filter(pk=finding.pk).update(state=FindingState.KEPT, sent_at=None)
    assert "Stop and ask the workshop" not in words(client.get(url))


# The unit ----------------------------------------------------------------------------------------


def test_unit_shows_the_next_thing_the_plan_the_oil_and_the_record(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit, readings: list[Reading]
) -> None:
    mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=today, note="Dry.", by=owner)
    page = as_owner.get(reverse("plans:unit", args=[whole_unit.pk]))
    said = words(page)
    for heading in (
        "Oil change",
        "The rest of the plan",
        "External pipe and unions",
        "Coolant strength",
        "Its oil",
        "Bypass filter",
        "As built",
        "2.2 thou",
        "Its odometer",
        "43,300",
        "Done lately",
        "Dry.",
        "That was a mistake",
    ):
        assert heading in said, heading


def test_unit_costs_the_same_with_more_of_everything(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit, odometer: Odometer,
    readings: list[Reading],
) -> None:  # fmt: skip
    url = reverse("plans:unit", args=[whole_unit.pk])
    stop_finding(whole_unit)
    mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=date(2024, 1, 1), by=owner)
    as_owner.get(url)
    with CaptureQueriesContext(connection) as one:
        as_owner.get(url)
    for number in range(1, 3):
        day = date(2024, 6, number + 1)
        stop_finding(whole_unit, seen_on=day)
        mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=day, by=owner)
        Reading.objects.create(odometer=odometer, date=day, shown=43_300 + number)
        make_arrangement(whole_unit, Filtration.NONE, day)
    with CaptureQueriesContext(connection) as three:
        as_owner.get(url)
    assert len(three) == len(one)


def test_workshop_with_consent_reads_the_plan_and_writes_nothing(
    today: date, client: Client, whole_unit: Unit, fitter: Person
) -> None:
    refresh_plan(unit=whole_unit)
    client.force_login(fitter)
    page = client.get(reverse("plans:unit", args=[whole_unit.pk]))
    said = words(page)
    assert "The rest of the plan" in said
    assert "It is done" not in said
    assert "Orla Penhallow" in said
    assert client.get(reverse("plans:done", args=[whole_unit.pk, "seal_weep"])).status_code == 404


def test_workshop_without_consent_sees_the_record_alone(
    today: date, client: Client, unit: Unit, build, fitter: Person, owner: Person,
    readings: list[Reading],
) -> None:  # fmt: skip
    refresh_plan(unit=unit)
    stop_finding(unit)
    client.force_login(fitter)
    page = client.get(reverse("plans:unit", args=[unit.pk]))
    said = words(page)
    assert page.status_code == 200
    assert "As built" in said
    assert "2.2 thou" in said
    assert "Its owner lets nobody at the workshop see how it is used." in said
    for private in ("The rest of the plan", "Its oil", "43,300", "Harrow Vale", owner.name,
                    "It clonks", "Stop and ask"):  # fmt: skip
        assert private not in said, private
    for name in ("plans:item", "plans:done"):
        assert client.get(reverse(name, args=[unit.pk, "oil_change"])).status_code == 404


def test_consent_withdrawn_is_obeyed_at_once(
    today: date, client: Client, whole_unit: Unit, fitter: Person, consent: Consent
) -> None:
    refresh_plan(unit=whole_unit)
    client.force_login(fitter)
    url = reverse("plans:unit", args=[whole_unit.pk])
    assert "The rest of the plan" in words(client.get(url))
    Consent.objects.filter(pk=consent.pk).update(withdrawn_at=timezone.now())
    assert "The rest of the plan" not in words(client.get(url))


@pytest.mark.parametrize("who", ["stranger", "other_fitter", "officer", "second_owner"])
def test_others_find_nothing(
    today: date, client: Client, whole_unit: Unit, owner: Person, who: str,
    request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    done = mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=today, by=owner)
    client.force_login(request.getfixturevalue(who))
    pk = whole_unit.pk
    for url in (
        reverse("plans:unit", args=[pk]),
        reverse("plans:item", args=[pk, "oil_change"]),
        reverse("plans:done", args=[pk, "oil_change"]),
    ):
        assert client.get(url).status_code == 404, url
    assert client.post(reverse("plans:done", args=[pk, "oil_change"]), {}).status_code == 404
    assert client.post(reverse("plans:take_back", args=[done.pk])).status_code == 404
    assert WorkDone.objects.filter(pk=done.pk).exists()


# An item -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("work", [w for w in WorkKind if w != WorkKind.FIRST_LOOK])
def test_item_says_why_with_what_how_and_with_what_care(
    today: date, as_owner: Client, whole_unit: Unit, readings: list[Reading], work: WorkKind
) -> None:
    bearing = whole_unit.design.positions.filter(kind=PositionKind.JOURNAL_BEARING).first()
    WearMark.objects.create(unit=whole_unit, position=bearing, measured_at=0.0, look_at=9e6)
    if work == WorkKind.PUT_RIGHT:
        stop_finding(whole_unit, position=bearing)
    if work == WorkKind.BULLETIN:
        asking = whole_unit.workshop.bulletins.create(
            title="Bolts", text="Look.", asks="Nip them", until=today, sent_at=timezone.now()
        )
        asking.units.create(unit=whole_unit)
    refresh_plan(unit=whole_unit)
    page = as_owner.get(reverse("plans:item", args=[whole_unit.pk, work]))
    said = words(page)
    assert page.status_code == 200
    for part in ("Why then", "Have at hand", "What goes wrong without it", "Mind this first",
                 "How", "A good result is no licence", "Local rules"):  # fmt: skip
        assert part in said, part
    content = page.content.decode()
    assert content.index("Mind this first") < content.index('class="steps"')


def test_item_of_unknown_unit_tells_what_to_look_at_first(
    today: date, as_owner: Client, unit: Unit
) -> None:
    refresh_plan(unit=unit)
    said = words(as_owner.get(reverse("home")))
    assert "First look at an unknown unit" in said
    said = words(as_owner.get(reverse("plans:item", args=[unit.pk, "first_look"])))
    assert "nothing is known of this unit yet" in said
    assert "Drain it into a clean white tray" in said
    assert "Measure the end float" in said


def test_what_was_never_done_is_not_called_done(today: date, as_owner: Client, unit: Unit) -> None:
    refresh_plan(unit=unit)
    page = words(as_owner.get(reverse("plans:unit", args=[unit.pk])))
    assert "Last done not known" in page
    assert "due today" not in page  # it says 'Due now' already


def test_season_that_was_missed_is_called_so(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    coolant = WorkKind.COOLANT_STRENGTH
    WorkDone.objects.create(unit=whole_unit, work=coolant, cycle=1, date=date(2022, 10, 2))
    refresh_plan(unit=whole_unit)
    page = words(as_owner.get(reverse("plans:item", args=[whole_unit.pk, coolant])))
    assert "Missed until 1 April 2024 Due 15 October 2024" in page
    assert "Last done not known" not in page


def test_item_that_does_not_apply_is_not_there(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    refresh_plan(unit=whole_unit)
    for work in ("first_look", "polish"):
        url = reverse("plans:item", args=[whole_unit.pk, work])
        assert as_owner.get(url).status_code == 404


# Done --------------------------------------------------------------------------------------------


def filled_in(as_owner: Client, url: str) -> dict[str, str]:
    """Return what the form would send if nothing were touched."""
    form = as_owner.get(url).context["form"]
    values = {name: form[name].value() for name in form.fields}
    shown = {
        name: form.fields[name].prepare_value(value) if value is not None else ""
        for name, value in values.items()
    }
    return {name: str(value) for name, value in shown.items()}


def test_one_tap_is_enough(
    today: date, as_owner: Client, whole_unit: Unit, readings: list[Reading]
) -> None:
    refresh_plan(unit=whole_unit)
    url = reverse("plans:done", args=[whole_unit.pk, "oil_change"])
    page = as_owner.get(url)
    assert "Last: 43,300 on 1 June 2024" in words(page)
    sent = filled_in(as_owner, url)
    assert (sent["date"], sent["volume"], sent["cycle"]) == ("2024-06-10", "1.2", "1")
    answer = as_owner.post(url, sent)
    assert answer.url == reverse("plans:unit", args=[whole_unit.pk])
    done = WorkDone.objects.get(work=WorkKind.OIL_CHANGE)
    assert (done.date, done.shown) == (today, None)
    assert OilService.objects.get().volume == pytest.approx(1.2e-3)
    # the same tap again, from a page that was left open
    assert as_owner.post(url, sent).status_code == 302
    assert WorkDone.objects.filter(work=WorkKind.OIL_CHANGE).count() == 1


def test_amounts_are_typed_in_the_readers_unit(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit
) -> None:
    owner.volume_unit = "pint"
    owner.save()
    refresh_plan(unit=whole_unit)
    url = reverse("plans:done", args=[whole_unit.pk, "oil_change"])
    assert "pints" in words(as_owner.get(url))
    as_owner.post(url, {"date": "2024-06-10", "volume": "2", "cycle": "1"})
    # an imperial pint is 0.568261 litres (by definition of the gallon)
    assert OilService.objects.get().volume == pytest.approx(2 * 0.56826125e-3)


@pytest.mark.parametrize(
    ("sent", "message"),
    [
        ({"date": "2024-06-11"}, "That day has not come yet"),
        ({"date": "soon"}, "Write the day as year-month-day"),
        ({"date": ""}, "Enter the day"),
        ({"shown": "a few"}, "is not a number"),
        ({"shown": "-5"}, "never shows less than nought"),
        ({"shown": "443300"}, "This odometer has 5 figures"),
        ({"volume": "lots"}, "is no quantity"),
        ({"volume": "-1"}, "Give what you filled in"),
        ({"volume": "3 mm"}, "is not a unit of volume"),
    ],
)
def test_bad_input_says_what_to_do_and_loses_nothing(
    today: date, as_owner: Client, whole_unit: Unit, sent: dict[str, str], message: str
) -> None:
    refresh_plan(unit=whole_unit)
    url = reverse("plans:done", args=[whole_unit.pk, "oil_change"])
    typed = {"date": "2024-06-10", "note": "Grey, with glitter", "cycle": "1", **sent}
    page = as_owner.post(url, typed)
    assert page.status_code == 422
    content = page.content.decode()
    assert message in content
    assert "Grey, with glitter" in content
    for value in sent.values():
        assert value in content
    assert not WorkDone.objects.exists()
    assert not OilService.objects.exists()


def test_doubtful_reading_is_asked_about_and_taken_when_confirmed(
    today: date, as_owner: Client, whole_unit: Unit, readings: list[Reading]
) -> None:
    refresh_plan(unit=whole_unit)
    url = reverse("plans:done", args=[whole_unit.pk, "seal_weep"])
    typed = {"date": "2024-06-10", "shown": "63300", "cycle": "1"}
    page = as_owner.post(url, typed)
    assert page.status_code == 422
    assert "Is that right?" in words(page)
    assert "63300" in page.content.decode()
    asked = re.search('name="asked" value="([^"]+)"', page.content.decode())
    assert asked is not None
    answer = as_owner.post(url, {**typed, "asked": asked[1], "answer": "right"})
    assert answer.status_code == 302
    assert WorkDone.objects.get().shown == 63_300


@pytest.mark.parametrize("asked", ["volume", "shown"])
def test_question_stands_below_the_field_that_it_is_about(
    today: date, as_owner: Client, whole_unit: Unit, readings: list[Reading], asked: str
) -> None:
    refresh_plan(unit=whole_unit)
    make_arrangement(whole_unit, Filtration.NONE, date(2024, 1, 1))
    url = reverse("plans:done", args=[whole_unit.pk, "oil_change"])
    given = {"date": "2024-06-10", "shown": "43310", "volume": "1"} | (
        {"volume": "9"} if asked == "volume" else {"shown": "93310"}
    )
    page = as_owner.post(url, given).content.decode()
    assert page.count("Is that right?") == 1
    question, volume = page.index("Is that right?"), page.index('id="id_volume"')
    assert (question > volume) is (asked == "volume")


def test_unit_in_no_car_is_not_asked_for_its_odometer(
    today: date, as_owner: Client, owner: Person, design: Design
) -> None:
    loose = make_unit(owner, design, serial="on the shelf")
    refresh_plan(unit=loose)
    url = reverse("plans:done", args=[loose.pk, "first_look"])
    assert "Odometer, as it stands there" not in words(as_owner.get(url))
    assert as_owner.post(url, {"date": "2024-06-10"}).status_code == 302


def test_slip_of_the_finger_is_taken_back(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit
) -> None:
    done = mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=today, by=owner)
    answer = as_owner.post(reverse("plans:take_back", args=[done.pk]), follow=True)
    assert "taken back" in words(answer)
    assert not WorkDone.objects.exists()
    assert as_owner.get(reverse("plans:take_back", args=[done.pk])).status_code == 302


def test_slip_in_the_year_is_taken_back_whatever_was_done_since(
    today: date, as_owner: Client, owner: Person, unit: Unit
) -> None:
    """The unit is of unknown history: nothing says that the day is wrong."""
    for number in range(9):
        day = date(2024, 5, number + 1)
        mark_done(unit=unit, work=WorkKind.SEAL_WEEP, date=day, by=owner)
    WorkDone.objects.update(created_at=timezone.now() - timedelta(days=2))
    url = reverse("plans:unit", args=[unit.pk])
    assert "That was a mistake" not in words(as_owner.get(url))
    slip = mark_done(unit=unit, work=WorkKind.PIPE_CHECK, date=date(2001, 1, 5), by=owner)
    page = as_owner.get(url)
    assert reverse("plans:take_back", args=[slip.pk]) in page.content.decode()
    assert "5 Jan 2001" in words(page)
    assert "1 May 2024" not in words(page)  # the ninth


def test_too_late_to_take_back_says_so(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit
) -> None:
    done = mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=today, by=owner)
    WorkDone.objects.update(created_at=timezone.now() - timedelta(days=2))
    page = as_owner.post(reverse("plans:take_back", args=[done.pk]), follow=True)
    assert "more than a day old" in words(page)
    assert WorkDone.objects.exists()
