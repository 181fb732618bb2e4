"""Pages of oils, arrangements, services and advice."""

import re
from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from advisory.engineering.oil_change import ASSUMPTIONS
from advisory.lubrication.actions import add_lubricant, record_oil_service
from advisory.lubrication.adapters import STAND_INS
from advisory.lubrication.enums import Feed, Filtration, OilFamily, ServiceKind
from advisory.lubrication.models import Lubricant, OilAdvice, OilArrangement, OilService
from advisory.people.models import Consent, Organisation, Person
from advisory.register.models import Unit
from advisory.usage.models import Reading
from tests.cast import make_arrangement

pytestmark = pytest.mark.django_db
OF_A_UNIT = ("arrangement", "arrangement_new", "advice", "services")


@pytest.fixture
def as_owner(client: Client, owner: Person) -> Client:
    client.force_login(owner)
    return client


def url(name: str, *args: object) -> str:
    return reverse(f"lubrication:{name}", args=args)


def words(page: object) -> str:
    """Return the words of a page, as a reader meets them."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page.content.decode()))


# Who may look ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", OF_A_UNIT)
@pytest.mark.parametrize("who", ["stranger", "other_fitter", "officer", "second_owner", "fitter"])
def test_others_find_nothing(
    today: date, client: Client, unit: Unit, name: str, who: str, request: pytest.FixtureRequest
) -> None:
    client.force_login(request.getfixturevalue(who))
    assert client.get(url(name, unit.pk)).status_code == 404
    assert client.post(url(name, unit.pk), {}).status_code in {404, 405}


@pytest.mark.parametrize("name", OF_A_UNIT)
def test_workshop_looks_while_the_owner_consents(
    today: date, client: Client, unit: Unit, fitter: Person, consent: Consent, name: str
) -> None:
    client.force_login(fitter)
    assert client.get(url(name, unit.pk)).status_code == 200


def test_workshop_writes_no_services(
    today: date, client: Client, unit: Unit, fitter: Person, consent: Consent
) -> None:
    client.force_login(fitter)
    assert "Write it down" not in words(client.get(url("services", unit.pk)))
    sent = {"kind": "top_up", "date": "2024-06-10"}
    assert client.post(url("services", unit.pk), sent).status_code == 404
    assert not OilService.objects.exists()


# Arrangement -------------------------------------------------------------------------------------


def test_arrangement_shows_what_is_and_what_was(today: date, as_owner: Client, unit: Unit) -> None:
    make_arrangement(unit, Filtration.STRAINER, date(2023, 4, 1))
    make_arrangement(unit, Filtration.BYPASS, date(2024, 5, 1))
    said = words(as_owner.get(url("arrangement", unit.pk)))
    assert "Bypass filter" in said
    assert "Strainer only" in said
    assert "30 l/min" not in said
    assert "0.157 inch" in said  # a bore of 4 mm, for who reads thou
    assert "5 g" in said


def test_arrangement_of_which_nobody_told_says_so(
    today: date, as_owner: Client, unit: Unit
) -> None:
    said = words(as_owner.get(url("arrangement", unit.pk)))
    assert "Nobody has told yet how it is oiled" in said
    assert "not known" in said


def test_arrangement_is_typed_in_the_readers_units(
    today: date, as_owner: Client, owner: Person, unit: Unit
) -> None:
    owner.volume_unit, owner.temperature_unit = "pint", "degF"
    owner.save()
    page = as_owner.get(url("arrangement_new", unit.pk))
    assert "pints/min" in words(page)
    sent = {
        "from_date": "2024-06-01",
        "feed": Feed.PRESSURE,
        "filtration": Filtration.BYPASS,
        "sump_volume": "2",
        "filter_flow": "1",
        "dirt_capacity": "8",
        "beta_ratio": "10",
        "sump_temperature": "176",
        "feed_pipe_bore": "3/16",
        "feed_pipe_length": "900 mm",
        "level_datum": "Sight hole",
        "lubricant": str(Lubricant.objects.get(code="sae-40").pk),
    }
    assert as_owner.post(url("arrangement_new", unit.pk), sent).status_code == 302
    row = OilArrangement.objects.get(unit=unit)
    pint = 0.56826125e-3  # imperial, by definition
    assert row.sump_volume == pytest.approx(2 * pint)
    assert row.filter_flow == pytest.approx(pint / 60)
    assert row.dirt_capacity == pytest.approx(8e-3)
    assert row.sump_temperature == pytest.approx(273.15 + 80)
    assert row.feed_pipe_bore == pytest.approx(25.4e-3 * 3 / 16)
    assert row.feed_pipe_length == pytest.approx(0.9)
    # shown again as it was typed, so that saving it unchanged changes nothing
    again = as_owner.get(url("arrangement_new", unit.pk)).content.decode()
    assert 'value="176"' in again
    assert 'value="0.1875"' in again


@pytest.mark.parametrize(
    ("sent", "message"),
    [
        ({"sump_volume": "much"}, "is no quantity"),
        ({"sump_volume": "4500"}, "outside what such a unit can have"),
        ({"sump_volume": "-1"}, "outside what such a unit can have"),
        ({"sump_volume": "1,234"}, "can mean 1234 or 1.234"),
        ({"beta_ratio": "0.5", "filtration": "bypass"}, "A beta ratio is 1 or more"),
        ({"beta_ratio": "10", "filtration": "none"}, "This belongs to a filter"),
        ({"from_date": "2024-06-11"}, "That day has not come yet"),
        ({"from_date": "1066-10-14"}, "before there were motor cars"),
        ({"lubricant": "999999"}, "Select a valid choice"),
    ],
)
def test_arrangement_that_is_nonsense_loses_nothing(
    today: date, as_owner: Client, unit: Unit, sent: dict[str, str], message: str
) -> None:
    usual = {"from_date": "2024-06-01", "feed": "unknown", "filtration": "unknown"}
    page = as_owner.post(
        url("arrangement_new", unit.pk), {**usual, "level_datum": "Lower mark, cold", **sent}
    )
    assert page.status_code == 422
    content = page.content.decode()
    assert message in content
    assert "Lower mark, cold" in content
    assert not OilArrangement.objects.exists()


# Advice ------------------------------------------------------------------------------------------


def test_advice_shows_interval_limit_reasons_filters_and_what_was_assumed(
    today: date, as_owner: Client, unit: Unit, readings: list[Reading]
) -> None:
    page = as_owner.get(url("advice", unit.pk))
    said = words(page)
    for part in (
        "miles or",
        "comes first",
        "Dirt sets it: no filter",
        "No filter", "Strainer only", "Bypass filter", "Full-flow filter",
        "Taken, because nobody has told",
        "No filter at all.",
        "Look for a canister",
        "version 1",
    ):  # fmt: skip
        assert part in said, part
    assert url("assumptions") in page.content.decode()
    kept = OilAdvice.objects.get()
    assert kept.inputs["filtration"] == "none"
    as_owner.get(url("advice", unit.pk))
    assert OilAdvice.objects.count() == 1


def test_advice_marks_the_filter_that_is_fitted(
    today: date, as_owner: Client, whole_unit: Unit, readings: list[Reading]
) -> None:
    content = as_owner.get(url("advice", whole_unit.pk)).content.decode()
    current = re.search(r"compare-current.*?</tr>", content, re.DOTALL)
    assert current is not None
    assert "Bypass filter" in current[0]
    assert content.count("compare-mark") == 1


def test_assumptions_are_printed_with_their_sources(today: date, as_owner: Client) -> None:
    said = words(as_owner.get(url("assumptions")))
    for row in (*ASSUMPTIONS, *STAND_INS):
        assert row.source in said
        assert re.sub(r"\s+", " ", row.meaning).replace("'", "&#x27;") in said


# Services ----------------------------------------------------------------------------------------


def test_services_are_written_and_listed(
    today: date, as_owner: Client, unit: Unit, readings: list[Reading]
) -> None:
    sent = {
        "kind": ServiceKind.TOP_UP,
        "date": "2024-06-10",
        "shown": "43,350",
        "volume": "0.2",
        "lubricant": str(Lubricant.objects.get(code="sae-40").pk),
        "note": "Thirsty.",
    }
    assert as_owner.post(url("services", unit.pk), sent).status_code == 302
    row = OilService.objects.get()
    assert (row.shown, row.volume) == (43_350, pytest.approx(0.2e-3))
    said = words(as_owner.get(url("services", unit.pk)))
    assert "0.2 litres of SAE 40" in said
    assert "43,350" in said
    assert "Thirsty." in said
    assert as_owner.post(url("strike", row.pk), follow=True).status_code == 200
    assert not OilService.objects.exists()


def test_doubtful_reading_with_a_service_is_asked_about(
    today: date, as_owner: Client, unit: Unit, readings: list[Reading]
) -> None:
    sent = {"kind": "top_up", "date": "2024-06-10", "shown": "33350", "note": "kept"}
    page = as_owner.post(url("services", unit.pk), sent)
    assert page.status_code == 422
    assert "Is that right?" in words(page)
    assert "kept" in page.content.decode()
    assert not OilService.objects.exists()
    asked = re.search('name="asked" value="([^"]+)"', page.content.decode())
    assert asked is not None
    answer = as_owner.post(url("services", unit.pk), {**sent, "asked": asked[1], "answer": "right"})
    assert answer.status_code == 302


def test_only_the_owner_strikes(
    today: date, client: Client, unit: Unit, owner: Person, stranger: Person
) -> None:
    row = record_oil_service(unit=unit, date=today, kind=ServiceKind.CHANGE, by=owner)
    client.force_login(stranger)
    assert client.post(url("strike", row.pk)).status_code == 404
    assert OilService.objects.exists()


def test_services_cost_the_same_for_one_and_three(
    today: date, as_owner: Client, unit: Unit, owner: Person
) -> None:
    oil = Lubricant.objects.get(code="sae-40")
    for number, expected in ((1, None), (2, None), (3, None)):
        record_oil_service(
            unit=unit, date=date(2024, number, 1), kind="change", lubricant=oil, by=owner
        )
        as_owner.get(url("services", unit.pk))
        with CaptureQueriesContext(connection) as queries:
            as_owner.get(url("services", unit.pk))
        if number == 1:
            first = len(queries)
        assert len(queries) == first, expected


# Oils --------------------------------------------------------------------------------------------


def test_oils_are_listed_with_their_grades(
    today: date, as_owner: Client, owner: Person, stranger: Person
) -> None:
    figures = {
        "family": OilFamily.ENGINE,
        "kinematic_viscosity_40": 100e-6,
        "kinematic_viscosity_100": 11.2e-6,
    }
    add_lubricant(by=owner, name="My can", **figures)
    add_lubricant(by=stranger, name="Not mine", **figures)
    said = words(as_owner.get(url("lubricants")))
    assert "My can" in said
    assert "your own" in said
    assert "SAE 30, SAE 85 gear, ISO VG 100" in said
    assert "Not mine" not in said


def test_oils_cost_the_same_for_one_and_three(
    today: date, client: Client, fitter: Person, workshop: Organisation
) -> None:
    client.force_login(fitter)
    counts = []
    for number in range(3):
        add_lubricant(
            by=fitter,
            workshop=workshop,
            name=f"Can {number}",
            family=OilFamily.ENGINE,
            kinematic_viscosity_40=100e-6,
            kinematic_viscosity_100=11e-6,
        )
        client.get(url("lubricants"))
        with CaptureQueriesContext(connection) as queries:
            client.get(url("lubricants"))
        counts.append(len(queries))
    assert len(set(counts)) == 1


SHEET = {
    "name": "Brown can",
    "family": "engine",
    "kinematic_viscosity_40": "100",
    "kinematic_viscosity_100": "11.2 cSt",
    "density_15": "0.886 kg/l",
}


def test_data_sheet_is_taken_and_its_grade_shown_back(
    today: date, as_owner: Client, owner: Person
) -> None:
    page = as_owner.post(url("lubricant_new"), SHEET, follow=True)
    assert "Its figures make: SAE 30, SAE 85 gear, ISO VG 100." in words(page)
    oil = Lubricant.objects.get(name="Brown can")
    assert oil.owner == owner
    assert oil.kinematic_viscosity_100 == pytest.approx(11.2e-6)
    assert oil.density_15 == pytest.approx(886)


@pytest.mark.parametrize(
    ("sent", "message"),
    [
        ({"kinematic_viscosity_100": "120"}, "thinner at 100 °C than at 40 °C"),
        ({"kinematic_viscosity_40": "thick"}, "is no quantity"),
        ({"kinematic_viscosity_40": "100 mm"}, "is not a unit of kinematic viscosity"),
        ({"kinematic_viscosity_40": ""}, "Fill this in"),
        ({"density_15": "0.886"}, "Give the density at 15 °C in kg/m³"),
        ({"name": ""}, "Fill this in"),
    ],
)
def test_data_sheet_that_is_nonsense_loses_nothing(
    today: date, as_owner: Client, sent: dict[str, str], message: str
) -> None:
    page = as_owner.post(url("lubricant_new"), {**SHEET, "density_15": "890", **sent})
    assert page.status_code == 422
    content = page.content.decode()
    assert message in content
    for value in {**SHEET, "density_15": "890", **sent}.values():
        assert value in content
    assert not Lubricant.objects.filter(code="").exists()


def test_odd_data_sheet_is_asked_about(today: date, as_owner: Client) -> None:
    odd = {**SHEET, "kinematic_viscosity_40": "500"}
    page = as_owner.post(url("lubricant_new"), odd)
    assert "viscosity index" in words(page)
    asked = re.search('name="asked" value="([^"]+)"', page.content.decode())
    assert asked is not None
    answer = as_owner.post(url("lubricant_new"), {**odd, "asked": asked[1], "answer": "right"})
    assert answer.status_code == 302


def test_workshop_enters_a_can_for_all_its_members(
    today: date, client: Client, fitter: Person, workshop: Organisation
) -> None:
    client.force_login(fitter)
    assert "Sallow Lane Bearings" in words(client.get(url("lubricant_new")))
    client.post(url("lubricant_new"), {**SHEET, "whose": str(workshop.pk)})
    assert Lubricant.objects.get(name="Brown can").workshop == workshop


def test_owner_cannot_enter_a_can_for_a_workshop(
    today: date, as_owner: Client, owner: Person, workshop: Organisation
) -> None:
    as_owner.post(url("lubricant_new"), {**SHEET, "whose": str(workshop.pk)})
    assert Lubricant.objects.get(name="Brown can").owner == owner
