"""The calculators as pages: asked in one's own units, answered, and led to by an address."""

import re

import pytest
from django.test import Client

from advisory.common.bench import names, page_of
from advisory.common.bench.views import LONGEST_QUERY
from advisory.common.calculation import registry
from advisory.common.charts import Chart
from advisory.people.models import Person
from tests.common.bench.asking import (
    BEARING,
    COOLANT,
    address,
    example,
    in_metric,
    signed_in,
    words,
)

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

NAMES = names()


def test_every_calculator_has_a_page() -> None:
    assert sorted(NAMES) == registry.names()


@pytest.mark.parametrize("path", ["/calculators/", "/methods/", "/calculators/coolant/"])
def test_who_is_not_signed_in_is_asked_to(path: str) -> None:
    assert Client().get(path).status_code == 302


@pytest.mark.parametrize("kind", ["calculators", "methods"])
def test_what_is_no_calculator_is_not_found(kind: str, owner: Person) -> None:
    assert signed_in(owner).get(f"/{kind}/guesswork/").status_code == 404


def test_index_names_each_with_its_question(owner: Person) -> None:
    shown = words(signed_in(owner).get("/calculators/").content)
    for name in NAMES:
        page = page_of(name)
        assert page is not None
        assert str(page.title) in shown
        assert str(page.question) in shown


def test_account_and_a_workshop_s_entries_lead_to_them(owner: Person, fitter: Person) -> None:
    assert b'href="/calculators/"' in signed_in(owner).get("/account/").content
    assert b'href="/methods/"' in signed_in(owner).get("/account/").content
    inbox = signed_in(fitter).get("/findings/").content.decode()
    assert re.search(r'<nav class="index".*?href="/calculators/".*?</nav>', inbox, re.DOTALL)


@pytest.mark.parametrize("name", NAMES)
def test_page_asks_each_field_once_and_answers_nothing_yet(name: str, owner: Person) -> None:
    response = signed_in(owner).get(address(name))

    assert response.status_code == 200
    for field in registry.get(name).takes.fields:
        assert response.content.decode().count(f' name="{field.name}"') == 1
    assert b'id="answer"' not in response.content
    assert b"aria-invalid" not in response.content


@pytest.mark.parametrize("name", NAMES)
def test_example_is_answered_as_the_calculator_does(name: str, owner: Person) -> None:
    response = signed_in(owner).get(example(name))

    assert response.status_code == 200, words(response.content)
    assert response.context["answer"] == registry.get(name).run(dict(registry.get(name).example))
    shown = words(response.content)
    for source in response.context["answer"]["sources"]:
        assert source in shown
    assert response.context["headline"] in shown
    assert f"version {registry.get(name).version}" in shown


@pytest.mark.parametrize("name", NAMES)
def test_answer_can_be_sent_by_its_address(name: str, owner: Person, stranger: Person) -> None:
    first = signed_in(owner).get(example(name))
    sent = first.context["address"].removeprefix("http://testserver")
    second = signed_in(in_metric(stranger)).get(sent)

    assert second.context["answer"] == first.context["answer"]


def test_reader_s_units_are_offered_first_and_read(owner: Person, stranger: Person) -> None:
    inch = signed_in(owner).get(address("journal-bearing")).context["form"]
    metric = signed_in(in_metric(stranger)).get(address("journal-bearing")).context["form"]

    assert inch["diameter_unit"].initial == "inch"
    assert inch["running_clearance_unit"].initial == "thou"
    assert inch["load_unit"].initial == "lbf"
    assert metric["diameter_unit"].initial == metric["running_clearance_unit"].initial == "mm"
    assert metric["load_unit"].initial == "N"


def test_answer_is_read_in_the_reader_s_units(owner: Person, stranger: Person) -> None:
    # a metric text's bearing: least film 20 um (V. B. Bhandari), 1.28 MPa on its area
    inch = words(signed_in(owner).get(address("journal-bearing", BEARING)).content)
    metric = words(signed_in(in_metric(stranger)).get(address("journal-bearing", BEARING)).content)

    assert "A least film of 20.03\xa0µm" in metric
    assert "1.28 MPa" in metric
    assert "A least film of 0.7887\xa0thou" in inch  # 20.032 / 25.4
    assert "185.6 psi" in inch  # 1.28 MPa / 6894.757 Pa


def test_unit_written_after_a_number_stands_above_the_one_beside_it(owner: Person) -> None:
    typed = BEARING | {"load": "719.4 lbf", "diameter": "5 cm", "length": "0,05 m"}
    response = signed_in(owner).get(address("journal-bearing", typed))

    # 3.2 kN is 719.39 lbf
    assert response.context["answer"]["sommerfeld_number"] == pytest.approx(0.1213, rel=1e-3)
    # and stays as it was typed
    assert b'value="719.4 lbf"' in response.content
    assert b'value="0,05 m"' in response.content


def test_number_without_any_unit_is_not_taken_for_the_reader_s(owner: Person) -> None:
    typed = {name: text for name, text in BEARING.items() if name != "running_clearance_unit"}
    response = signed_in(owner).get(address("journal-bearing", typed))

    assert response.status_code == 422
    (message,) = response.context["form"].errors["running_clearance"]
    assert message.startswith("Write the unit too")


def test_share_can_be_typed_as_a_percentage(owner: Person) -> None:
    client = signed_in(owner)
    share = client.get(address("coolant", COOLANT)).context["answer"]
    percent = client.get(address("coolant", COOLANT | {"volume_fraction": "50 %"}))
    beyond = client.get(address("coolant", COOLANT | {"volume_fraction": "70%"}))

    assert percent.context["answer"] == share
    assert b'value="50 %"' in percent.content
    assert beyond.status_code == 422
    assert list(beyond.context["form"].errors) == ["volume_fraction"]


@pytest.mark.parametrize(
    ("mating", "headline"),
    [
        # H7 and r6 for 25 mm: 0 to +21 um and +28 to +41 um; g6 -20 to -7 um; k6 +2 to +15 um
        ("r6", "0 µm to +21 µm; an interference of 7 µm to 41 µm"),
        ("g6", "0 µm to +21 µm; a play of 7 µm to 41 µm"),
        ("k6", "0 µm to +21 µm; up to 15 µm of interference or 19 µm of play"),
        ("", "0 µm to +21 µm"),
    ],
)
def test_fit_is_said_in_one_line(owner: Person, mating: str, headline: str) -> None:
    asked = {"size": "25", "size_unit": "mm", "tolerance_class": "H7"}
    asked |= {"mating_class": mating} if mating else {}
    response = signed_in(in_metric(owner)).get(address("tolerance", asked))

    assert response.context["headline"].replace("\xa0", " ") == headline


def test_unit_of_another_s_address_is_offered_too(owner: Person) -> None:
    response = signed_in(owner).get(
        address("journal-bearing", BEARING | {"diameter": "5", "diameter_unit": "cm"})
    )

    assert response.status_code == 200
    assert b'<option value="cm" selected>' in response.content


def test_everything_wrong_stands_on_its_field_and_nothing_typed_is_lost(owner: Person) -> None:
    typed = BEARING | {
        "diameter": "-5", "length": "1,500", "running_clearance": "tight", "speed": "",
        "load": "3 kg", "material": "gold",
    }  # fmt: skip
    response = signed_in(owner).get(address("journal-bearing", typed))
    errors = response.context["form"].errors

    assert response.status_code == 422
    assert set(errors) == {
        "diameter", "length", "running_clearance", "speed", "load", "material",
    }  # fmt: skip
    assert "not -5 mm" in errors["diameter"][0]
    assert "1500 or 1.500" in errors["length"][0]
    for kept in ("-5", "1,500", "tight", "3 kg", "25"):
        assert f'value="{kept}"' in response.content.decode()
    assert response.content.decode().count('aria-invalid="true"') == 6
    assert b'id="answer"' not in response.content


def test_oil_told_in_two_ways_is_refused_in_words_of_the_page(owner: Person) -> None:
    typed = BEARING | {"lubricant": "sae-30", "kinematic_viscosity_40": "100 cSt"}
    response = signed_in(owner).get(address("journal-bearing", typed))

    assert response.status_code == 422
    said = words(response.content)
    assert "kinematic_viscosity" not in said.split("Send it")[0]


def test_check_between_fields_stands_on_its_field(owner: Person) -> None:
    response = signed_in(owner).get(address("journal-bearing", BEARING | {"length": "150"}))

    (message,) = response.context["form"].errors["length"]
    assert message == "It must be 0.1 to 2 times the diameter, not 3 times."


def test_address_is_tidied_of_what_was_left_empty(owner: Person) -> None:
    sent = COOLANT | {"mass_fraction": "", "visit": "7"}
    response = signed_in(owner).get(address("coolant", sent))

    assert response.status_code == 302
    assert response["Location"] == address("coolant", COOLANT)


def test_choice_left_out_of_an_address_stands_as_it_is_taken(owner: Person) -> None:
    response = signed_in(owner).get(example("oil-change"))  # says nothing of the breather

    select = re.search(
        r'<select name="breather_filtered".*?</select>', response.content.decode(), re.DOTALL
    )
    assert select is not None
    assert '<option value="no" selected>' in select[0]


def test_no_film_is_an_answer_with_its_reason_and_no_figure(owner: Person) -> None:
    typed = BEARING | {"speed": "1", "load": "60"}
    response = signed_in(owner).get(address("journal-bearing", typed))
    shown = words(response.content)

    assert response.status_code == 200
    assert "No film carries this load: metal would touch" in shown
    assert "closer than a hundredth of the radial clearance" in shown
    assert list(response.context["charts"]) == []
    labels = [figure.label for block in response.context["blocks"] for figure in block.figures]
    assert labels == ["Unit load"]


def test_limits_that_are_not_kept_come_first_and_are_said(owner: Person) -> None:
    typed = BEARING | {"material": "tin white metal", "running_clearance": "0.2"}
    response = signed_in(owner).get(address("journal-bearing", typed))

    assert response.context["headline"].endswith("; 1 limit is not kept")
    assert [check.passed for check in response.context["checks"]][:2] == [False, True]


def chart(response, title: str) -> Chart:
    (found,) = [each for each in response.context["charts"] if each.title == title]
    return found


def test_charts_of_a_bearing_agree_with_its_answer(owner: Person) -> None:
    response = signed_in(in_metric(owner)).get(address("journal-bearing", BEARING))
    answer = response.context["answer"]
    film = chart(response, "Least film over load")
    pressure = chart(response, "Pressure round the bearing")

    [(load, least)] = film.series[1].points
    assert load == pytest.approx(3200)
    assert least == pytest.approx(answer["minimum_film_thickness"]["value"])
    falling = [y for _x, y in film.series[0].points]
    assert falling == sorted(falling, reverse=True)
    # Trumpler: 5.08 um + 0.00004 of 50 mm
    assert [mark.y for mark in film.marks] == pytest.approx([7.08])
    peak = max(y for _x, y in pressure.series[0].points)
    assert peak == pytest.approx(answer["maximum_pressure"]["value"], rel=0.01)


def test_reasons_are_told_in_the_reader_s_units(owner: Person, stranger: Person) -> None:
    miles = words(signed_in(owner).get(example("oil-change")).content)
    kilometres = words(signed_in(in_metric(stranger)).get(example("oil-change")).content)

    assert "would make it about 2,200 miles" in miles
    assert re.search(r"would make it about [0-9,]+ km", kilometres)


def test_list_of_temperatures_is_shown_side_by_side(owner: Person) -> None:
    typed = {"lubricant": "sae-30", "temperature": "40; 212 degF", "temperature_unit": "degC"}
    response = signed_in(owner).get(address("viscosity", typed))
    table = response.context["blocks"][0]

    assert table.head[:2] == ["Temperature", "Kinematic viscosity"]
    assert [row[0] for row in table.rows] == ["40\xa0°C", "212\xa0°F"]  # as they were asked
    assert [row[1] for row in table.rows] == ["100\xa0mm²/s", "11.2\xa0mm²/s"]


LIVES = "5; yes; ; a\n\n8;no;2;a\n7\tyes\t\tb\n9; yes; ; b"


def test_lines_are_posted_and_led_to_an_address(owner: Person) -> None:
    client = signed_in(owner)
    posted = client.post(address("survival"), {"lives": LIVES})
    response = client.get(posted["Location"])

    assert posted.status_code == 302
    groups = response.context["answer"]["groups"]
    assert [(group["group"], group["n"], group["failures"]) for group in groups] == [
        ("a", 2, 1),
        ("b", 2, 2),
    ]
    assert response.context["address"].endswith(posted["Location"])


def test_what_is_too_long_for_an_address_is_answered_without_one(owner: Person) -> None:
    lives = "\n".join(f"{1000 + n}; yes" for n in range(LONGEST_QUERY // 10))
    response = signed_in(owner).post(address("survival"), {"lives": lives})

    assert response.status_code == 200
    assert response.context["answer"]["groups"][0]["n"] == LONGEST_QUERY // 10
    assert "too much in the question for an address" in words(response.content)


@pytest.mark.parametrize(
    ("lives", "message"),
    [
        ("5; yes\n\n7; maybe", "Line 3: Write yes or no."),
        (
            "5; yes\n\n-7; no",
            "Line 3, duration: It must be above 0 and at most 1,000,000,000,000, not -7.",
        ),
        ("\n5; yes; 6", "Line 2, watched from: It must be below the duration."),
        ("5; yes; 1; a; b", "Line 1 has more than 4 columns."),
        ("5", "Line 1, failed (yes or no): It is needed."),
        (";yes", "Line 1, duration: It is needed."),
        ("", "It is needed."),
    ],
)
def test_bad_line_is_named_and_kept(owner: Person, lives: str, message: str) -> None:
    response = signed_in(owner).post(address("survival"), {"lives": lives})

    assert response.status_code == 422
    assert list(response.context["form"].errors["lives"]) == [message]
    kept = re.search(r"<textarea[^>]*>\r?\n?(.*?)</textarea>", response.content.decode(), re.DOTALL)
    assert kept is not None
    assert kept[1].strip() == lives.strip()


@pytest.mark.parametrize(
    ("typed", "field", "message"),
    [
        (
            {"diameter": "0", "diameter_unit": "inch"},
            "diameter",
            "It must be above 0 inch and at most 393.7 inch, not 0 inch.",
        ),
        (
            {"speed": "-1", "speed_unit": "rev/s"},
            "speed",
            "It must be above 0 rev/s and at most 16,667 rev/s, not -1 rev/s.",
        ),
        (
            {"load": "2000000000", "load_unit": "N"},
            "load",
            "It must be above 0 N and at most 1,000,000,000 N, not 2,000,000,000 N.",
        ),
    ],
)
def test_limits_are_told_in_the_unit_that_was_typed_and_in_plain_figures(
    owner: Person, typed: dict[str, str], field: str, message: str
) -> None:
    response = signed_in(owner).get(address("journal-bearing", BEARING | typed))

    assert response.status_code == 422
    assert list(response.context["form"].errors[field]) == [message]


def test_limits_of_a_line_are_told_in_the_unit_of_its_reader(owner: Person) -> None:
    cars = "Tourer; 4000 mile; 2024-06-01\n2024-01-01; 9000000 mile\n2024-05-01; 10 mile"
    response = signed_in(owner).post(address("due-date"), {"cars": cars, "today": "2024-06-01"})

    assert response.status_code == 422
    (said,) = response.context["form"].errors["cars"]
    assert said.startswith("Line 2, distance: It must be at least 0 miles and at most 3,106,900")
    assert said.endswith("not 9,000,000 miles.")


def test_what_is_typed_is_written_and_not_run(owner: Person) -> None:
    typed = BEARING | {"diameter": "<script>alert(1)</script>"}
    response = signed_in(owner).get(address("journal-bearing", typed))

    assert response.status_code == 422
    assert b"<script" not in response.content
