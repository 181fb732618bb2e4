"""Pages of the choice of oil and of the feed pipe, and the history of an advice."""

import re
from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from advisory.engineering.oil_choice import ASSUMPTIONS
from advisory.lubrication.actions import add_lubricant
from advisory.lubrication.enums import Feed, Filtration, OilFamily
from advisory.lubrication.models import OilAdvice, OilArrangement
from advisory.people.models import Consent, Person
from advisory.register.enums import UnitKind
from advisory.register.models import Design, Position, Unit
from tests.accessibility import assert_page_serves
from tests.browser import DESKTOP, PHONE, OpenPage
from tests.cast import make_arrangement, make_unit
from tests.lubrication.test_choice import find

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@pytest.fixture
def as_owner(client: Client, owner: Person) -> Client:
    client.force_login(owner)
    return client


def words(page: object) -> str:
    """Return the words of a page, as a reader meets them."""
    text = re.sub(r"<svg.*?</svg>", " ", page.content.decode(), flags=re.DOTALL)
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))


def url(name: str, unit: Unit) -> str:
    return reverse(f"lubrication:{name}", args=[unit.pk])


@pytest.mark.parametrize("name", ["choice", "pipe"])
@pytest.mark.parametrize("who", ["stranger", "other_fitter", "officer", "second_owner", "fitter"])
def test_others_find_nothing(
    today: date, client: Client, unit: Unit, name: str, who: str, request: pytest.FixtureRequest
) -> None:
    client.force_login(request.getfixturevalue(who))
    assert client.get(url(name, unit)).status_code == 404
    assert not OilAdvice.objects.exists()


@pytest.mark.parametrize("name", ["choice", "pipe"])
def test_workshop_looks_while_the_owner_consents(
    today: date, client: Client, unit: Unit, fitter: Person, consent: Consent, name: str
) -> None:
    client.force_login(fitter)
    assert client.get(url(name, unit)).status_code == 200


def test_answer_comes_first_and_the_rest_follows(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    page = as_owner.get(url("choice", whole_unit))
    said = words(page)
    assert re.search(r"<h1>\s*SAE 10 to SAE 50\s*</h1>", page.content.decode())
    for part in (
        "Film enough on a hard run on a hot day, with the oil at 80 °C",
        "arrives on a cold start, at 0 °C",
        "As built SAE 10 to SAE 50",
        "At the wear limit",
        "No licence to run",
        "SAE 20W-50 (detergent)",
        "Front bearing 2 thou not measured 4.5 thou",
        "Floating thrust washer: not known is its load.",
        "Nothing about the pressure at the pipe, so no flow is stated.",
        "oil-choice, version 1",
    ):
        assert part in said, part
    assert "SAE 60 16" in said or "too thick to start cold" in said
    assert reverse("lubrication:choice_figures") in page.content.decode()
    assert OilAdvice.objects.get().method == "oil-choice"


@pytest.mark.parametrize(
    ("units", "parts"),
    [
        ({"small_length_unit": "thou", "temperature_unit": "degF"}, ("176 °F", "2 thou", "psi")),
        (
            {"small_length_unit": "mm", "temperature_unit": "degC", "volume_unit": "litre"},
            ("80 °C", "0.051 mm", "bar"),
        ),
    ],
)
def test_owner_reads_it_in_own_units(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit, units, parts
) -> None:
    for name, value in units.items():
        setattr(owner, name, value)
    owner.save()
    whole_unit.oil_arrangements.update(feed=Feed.PRESSURE)
    said = words(as_owner.get(url("choice", whole_unit)))
    for part in (*parts, "ml/min"):
        assert part in said, part


def test_fitter_reads_it_in_the_workshops_units(
    today: date, client: Client, fitter: Person, whole_unit: Unit
) -> None:
    fitter.small_length_unit, fitter.volume_unit = "mm", "pint"
    fitter.save()
    whole_unit.oil_arrangements.update(feed=Feed.PRESSURE)
    client.force_login(fitter)
    said = words(client.get(url("choice", whole_unit)))
    assert "fl oz/min" in said
    assert "µm with" not in said  # nothing prescribed, nothing in it
    assert "I know more" in said


def test_prescribed_oil_stands_above_and_agrees(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    whole_unit.design.lubricant_code = "sae-40"
    whole_unit.design.save()
    said = words(as_owner.get(url("choice", whole_unit)))
    assert "SAE 40, as the workshop prescribes The computation agrees" in said
    assert said.index("as the workshop prescribes") < said.index("Computed From the record")
    assert "SAE 40 (prescribed)" in said


def test_prescribed_oil_outside_the_window_is_shown_with_the_reason(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    whole_unit.design.lubricant_code = "sae-60"
    whole_unit.design.save()
    Position.objects.filter(name="Rear bearing").update(load=9000.0)
    OilArrangement.objects.update(lubricant=None)
    said = words(as_owner.get(url("choice", whole_unit)))
    assert "SAE 60, as the workshop prescribes The computation does not agree." in said
    assert "At 0 °C it is too thick for a pump to draw." in said
    assert "stands above anything that is computed here." in said
    assert "ask the workshop before you fill anything else" in said
    # another one is too thin hot, and it is said where, and by how much
    whole_unit.design.lubricant_code = "sae-10"
    whole_unit.design.save()
    said = words(as_owner.get(url("choice", whole_unit)))
    assert re.search(
        r"the film in Rear bearing is 0\.\d+ thou thick; 0\.26 thou is the least", said
    )


def test_oil_in_it_is_told_from_the_prescribed_one(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit
) -> None:
    can = add_lubricant(
        by=owner, name="Thick can", family=OilFamily.ENGINE,
        kinematic_viscosity_40=700e-6, kinematic_viscosity_100=38e-6,
    )  # fmt: skip
    OilArrangement.objects.update(lubricant=can)
    said = words(as_owner.get(url("choice", whole_unit)))
    assert "What is in it now Thick can" in said
    assert "Thick can (in it now, a can of one" in said


def test_unknown_prescribed_oil_is_named_and_nothing_computed(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    whole_unit.design.lubricant_code = "castor"
    whole_unit.design.save()
    said = words(as_owner.get(url("choice", whole_unit)))
    assert "castor, as the workshop prescribes Nothing can be computed for it." in said


def test_no_film_as_measured_is_to_stop(today: date, as_owner: Client, whole_unit: Unit) -> None:
    Position.objects.filter(name="Rear bearing").update(load=30_000.0, surface_roughness=3e-6)
    find(whole_unit, 0.11e-3, date(2024, 4, 1), sent=True)
    page = as_owner.get(url("choice", whole_unit))
    said = words(page)
    assert "None: no oil carries it at this clearance" in said
    assert "With the running clearance as measured since there is no film in Rear bearing" in said
    assert 'class="caution caution-stop' in page.content.decode() or "Stop" in said
    assert "4.3 thou on 1 April 2024" in said


def test_unit_of_which_nothing_is_known_gets_no_verdict(
    today: date, as_owner: Client, owner: Person
) -> None:
    design = Design.objects.create(kind=UnitKind.WATER_PUMP, name="Pump without bearings")
    unit = make_unit(owner, design, serial="none")
    page = as_owner.get(url("choice", unit))
    said = words(page)
    assert "Not to be said yet: too little is known of its bearings" in said
    assert "Its bearings are not known well enough" in said
    assert "film holds" not in said
    assert as_owner.get(url("pipe", unit)).status_code == 200


def test_starter_designs_answer_is_a_guess_and_says_so(
    today: date, as_owner: Client, owner: Person, starter_design: Design
) -> None:
    Position.objects.filter(design=starter_design, name="Rear bearing").update(load=None)
    unit = make_unit(owner, starter_design, serial="typical")
    said = words(as_owner.get(url("choice", unit)))
    assert "A guess: SAE 10 to SAE 50" in said
    assert "Only 1 of its 2 bearings are known well enough to count." in said
    assert "nobody has measured it: ask the workshop" in said
    # what is made of typical figures stops nobody
    Position.objects.filter(design=starter_design, name="Front bearing").update(load=60_000.0)
    said = words(as_owner.get(url("choice", unit)))
    assert "A guess: None" in said
    assert "there is no film in Front bearing" not in said
    # but what somebody measured does
    find(unit, 0.1e-3, date(2024, 4, 1), sent=False, name="Front bearing")
    assert "there is no film in Front bearing" in words(as_owner.get(url("choice", unit)))


def test_can_beyond_the_relations_is_left_out_and_named(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit
) -> None:
    can = add_lubricant(
        by=owner, name="Light can", family=OilFamily.ENGINE, density_15=790.0,
        kinematic_viscosity_40=100e-6, kinematic_viscosity_100=11e-6,
    )  # fmt: skip
    reason = "Light can: its density is not one of an oil that is computed here."
    assert reason in words(as_owner.get(url("choice", whole_unit)))
    OilArrangement.objects.update(lubricant=can)
    said = words(as_owner.get(url("choice", whole_unit)))
    assert said.count(reason) == 1
    assert "Light can Nothing can be computed for it." in said


# The handbook, and asking it otherwise ---------------------------------------------------------


def test_handbook_grade_is_translated_by_its_year(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    said = words(as_owner.get(url("choice", whole_unit), {"grade": "SAE 40", "year": "1934"}))
    assert "SAE 40 of 1934 is today&#x27;s SAE 30 or SAE 40" in said
    assert "11.6 to 13.8 mm²/s" in said
    assert "from memory" in said
    page = as_owner.get(url("choice", whole_unit), {"grade": "90", "year": "1934", "kind": "gear"})
    assert "SAE 90 or SAE 110" in words(page)


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        ({"grade": "40", "year": "1890"}, "Only handbooks of 1926"),
        ({"grade": "45", "year": "1934"}, "one of 20, 30, 40, 50, 60"),
        ({"grade": "40", "year": "last"}, "Write the year with its four figures."),
        ({"grade": "40"}, "Fill this in."),
        ({"cold": "0"}, "Write the unit too"),
        ({"cold": "-60", "cold_unit": "degC"}, "from -40 to 150 °C"),
        ({"cold": "-99", "cold_unit": "degF"}, "from -40 to 302 °F"),
        ({"cold": "x", "cold_unit": "degC"}, "is no quantity"),
        ({"cold": "90", "cold_unit": "degC", "warm": "60", "warm_unit": "degC"}, "is colder than"),
        ({"pressure": "900", "pressure_unit": "bar"}, "to 20 bar"),
        ({"pressure": "900", "pressure_unit": "psi"}, "to 290.08 psi"),
        ({"pressure": "1", "pressure_unit": "ell"}, "Select a valid choice"),
    ],
)
def test_bad_question_is_answered_at_its_field_and_keeps_what_was_typed(
    today: date, as_owner: Client, whole_unit: Unit, asked: dict[str, str], message: str
) -> None:
    page = as_owner.get(url("choice", whole_unit), asked)
    assert page.status_code == 422
    content = page.content.decode()
    assert escape(message) in content or message in content
    first = next(iter(asked.values()))
    assert f'value="{first}"' in content


def test_asked_otherwise_is_answered_and_not_kept(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    asked = {"cold": "14", "cold_unit": "degF", "pressure": "30", "pressure_unit": "psi"}
    said = words(as_owner.get(url("choice", whole_unit), {**asked, "grade": "40", "year": "1934"}))
    assert "arrives on a cold start, at -10 °C" in said.replace("−", "-")
    assert "nothing of it is kept" in said
    assert "ml/min" in said
    assert "SAE 40 of 1934" in said
    assert not OilAdvice.objects.exists()


def test_figures_are_printed_with_their_sources(today: date, as_owner: Client) -> None:
    said = words(as_owner.get(reverse("lubrication:choice_figures")))
    for row in ASSUMPTIONS:
        assert escape(row.source) in said
        assert escape(row.meaning) in said
    assert "0.00508 mm + 0.00004 D" in said


def test_page_costs_the_same_for_one_own_can_and_three(
    today: date, as_owner: Client, owner: Person, whole_unit: Unit
) -> None:
    counts = []
    for number in range(3):
        add_lubricant(
            by=owner, name=f"Can {number}", family=OilFamily.ENGINE,
            kinematic_viscosity_40=100e-6, kinematic_viscosity_100=11e-6,
        )  # fmt: skip
        as_owner.get(url("choice", whole_unit))
        with CaptureQueriesContext(connection) as queries:
            as_owner.get(url("choice", whole_unit))
        counts.append(len(queries))
    assert len(set(counts)) == 1


# The feed pipe -----------------------------------------------------------------------------------


def test_pipe_is_filled_in_from_the_arrangement(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    page = as_owner.get(url("pipe", whole_unit))
    content = page.content.decode()
    assert 'value="0.15748"' in content  # a bore of 4 mm, for who reads thou
    assert "Round, it lets all through" in words(page)
    assert "takes the pressure at the pipe" in words(page)


def squash(**changes: str) -> dict[str, str]:
    asked = {
        "bore": "4", "bore_unit": "mm", "length": "900", "length_unit": "mm",
        "height": "2", "height_unit": "mm", "pressure": "1", "pressure_unit": "bar",
    }  # fmt: skip
    return asked | changes


def test_squash_is_held_against_what_the_bearing_loses(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    said = words(as_owner.get(url("pipe", whole_unit), squash()))
    assert "31 % of what came through it round" in said
    assert "Cold, 0 °C" in said
    assert "Warm, 70 °C" in said
    assert "what leaves the film at its two sides" in said
    flat = words(as_owner.get(url("pipe", whole_unit), squash(height="0.3")))
    assert "too little" in flat
    assert "have the pipe put right, and ask the workshop" in flat
    short = squash(squashed="20", squashed_unit="mm")
    part = words(as_owner.get(url("pipe", whole_unit), short))
    assert "95 % of what came through it round" in part
    assert "Squashed over 0.787 inch" in part
    assert not OilAdvice.objects.filter(method="pipe").exists()


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"height": "5"}, "A squash leaves at most the bore."),
        ({"squashed": "2", "squashed_unit": "m"}, "at most as long as the pipe"),
        ({"height": ""}, "Fill this in."),
        ({"bore": "0"}, "Give a size above nothing"),
        ({"bore_unit": ""}, "Write the unit too"),
        ({"bearing": "999999"}, "Select a valid choice"),
        ({"oil": "treacle"}, "Select a valid choice"),
    ],
)
def test_pipe_that_is_nonsense_loses_nothing(
    today: date, as_owner: Client, whole_unit: Unit, changes: dict[str, str], message: str
) -> None:
    page = as_owner.get(url("pipe", whole_unit), squash(**changes))
    assert page.status_code == 422
    assert message in page.content.decode()
    assert 'value="900"' in page.content.decode()


# What became of an advice ------------------------------------------------------------------------


def test_change_of_filter_is_told_with_its_day_and_cause(
    today: date, as_owner: Client, unit: Unit
) -> None:
    make_arrangement(unit)
    as_owner.get(url("advice", unit))
    assert "What it said, and when" not in words(as_owner.get(url("advice", unit)))
    make_arrangement(unit, Filtration.NONE, date(2024, 5, 1))
    said = words(as_owner.get(url("advice", unit)))
    assert re.search(r"It went from [\d,]+ miles or 12 months to [\d,]+ miles or 12 months", said)
    assert "Because: filter: a bypass filter → no filter." in said
    assert "10 Jun 2024" in said


def test_new_version_is_told(today: date, as_owner: Client, whole_unit: Unit) -> None:
    as_owner.get(url("choice", whole_unit))
    row = OilAdvice.objects.get()
    # an older version had let SAE 60 hold, too
    row.method_version, row.digest = "0", "old"
    row.result["windows"]["built"].append("sae-60")
    row.save()
    said = words(as_owner.get(url("choice", whole_unit)))
    assert "It went from SAE 10 to SAE 60 to SAE 10 to SAE 50." in said
    assert "the method is another: version 1 in the place of 0" in said


def test_measured_clearance_is_told_in_the_readers_units(
    today: date, as_owner: Client, whole_unit: Unit
) -> None:
    as_owner.get(url("choice", whole_unit))
    find(whole_unit, 0.1016e-3, date(2024, 4, 1), sent=True)
    said = words(as_owner.get(url("choice", whole_unit)))
    assert "running clearance of Rear bearing as measured: not known → 4 thou" in said


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_pages_serve_in_a_browser(
    today: date, open_page: OpenPage, whole_unit: Unit, owner: Person
) -> None:
    asked = "&".join(f"{name}={value}" for name, value in squash().items())
    for width, dark in ((PHONE, True), (DESKTOP, False)):
        page = open_page(person=owner, width=width, dark=dark)
        for path in (
            f"{url('choice', whole_unit)}?grade=40&year=1934",
            f"{url('pipe', whole_unit)}?{asked}",
            reverse("lubrication:choice_figures"),
        ):
            page.goto(path)
            assert_page_serves(page)
