"""A unit's booklet: what the pages say, on A5, tagged, and no more than the reader may see."""

import re
import zlib
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from advisory.findings.actions import Size, record_measuring
from advisory.people.models import Consent, Person
from advisory.plans.actions import refresh_plan
from advisory.plans.booklet import TEMPLATE, booklet_data, booklet_of
from advisory.register.actions import offer_unit
from advisory.register.claim_code import code_from
from advisory.register.models import DismantlingStep, Unit
from advisory.usage.models import Reading

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@pytest.fixture
def lived(whole_unit: Unit, readings: list[Reading], today: date) -> Unit:
    DismantlingStep.objects.create(
        design=whole_unit.design, order=1, text="Mark the cover", otherwise="it leaks",
        caution="It springs off",
    )  # fmt: skip
    refresh_plan(unit=whole_unit)
    return whole_unit


def pages(pdf: bytes) -> list[tuple[float, float]]:
    """Return the sizes of the pages [mm], also of those in packed objects."""
    found = pdf
    for packed in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            found += zlib.decompress(packed)
        except zlib.error:
            continue
    boxes = re.findall(rb"/MediaBox ?\[ ?0 0 ([\d.]+) ([\d.]+)", found)
    return [(float(width) * 25.4 / 72, float(height) * 25.4 / 72) for width, height in boxes]


def test_booklet_is_tagged_and_a5(lived: Unit, owner: Person) -> None:
    pdf = booklet_of(lived, owner)
    assert pdf.startswith(b"%PDF")
    assert b"/StructTreeRoot" in pdf
    assert b"/Lang" in pdf
    sizes = pages(pdf)
    assert sizes
    for width, height in sizes:
        assert (width, height) == (pytest.approx(148, abs=0.2), pytest.approx(210, abs=0.2))
    assert booklet_of(lived, owner) == pdf  # the same on the same day


def test_it_says_what_the_pages_say(
    client: Client, lived: Unit, owner: Person, today: date
) -> None:
    data = booklet_data(lived, owner, today)
    client.force_login(owner)
    page = client.get(reverse("plans:unit", args=[lived.pk])).content.decode()
    squeezed = re.sub(r"\s+", " ", page)
    assert data["plan"]["rows"]
    for name, due, _why in data["plan"]["rows"]:
        assert name in squeezed
        assert due.replace("'", "&#x27;") in squeezed
    for row in data["built"]["rows"]:
        assert row[0] in squeezed
        assert row[2] in squeezed or row[2] == "-"
    assert {one["caution"] for one in data["apart"]["steps"]} == {"It springs off"}
    assert data["safety"]["cautions"]
    for one in data["looking"]["work"]:
        assert one["cautions"]


def test_what_stands_against_running_it_is_said_before_anything_else(
    client: Client, lived: Unit, owner: Person, fitter: Person, consent: Consent, today: date
) -> None:
    place = lived.design.positions.get(name="Floating thrust washer")
    calm = booklet_of(lived, owner)
    size = Size(position=place, value=place.wear_limit * 1.2, as_typed="0.3 mm")
    record_measuring(unit=lived, by=owner, measured_on=today, sizes=[size])
    for person in (owner, fitter):
        data = booklet_data(lived, person, today)
        assert [halt["title"] for halt in data["halts"]] == ["Stop and ask the workshop"]
        assert "must not turn again" in data["halts"][0]["text"]
        row = next(row for row in data["built"]["rows"] if row[0] == place.name)
        assert "don't run it" in row[-1]
    assert booklet_of(lived, owner) != calm
    template = TEMPLATE.read_text()
    assert template.index("data.halts") < template.index("data.plate")
    client.force_login(owner)
    answer = client.get(reverse("api:unit-booklet", args=[lived.pk]))
    assert answer.content.startswith(b"%PDF")


def test_words_are_never_read_as_markup(lived: Unit, owner: Person) -> None:
    lived.name = '#panic("x") *bold* $ _ <b> \\'
    lived.save()
    assert booklet_of(lived, owner).startswith(b"%PDF")


@pytest.mark.parametrize(
    "name", ["Größe Ølandsk", "Жигá Ελλη", "\U000781ed", "蒸気 🚗", "\x07bell", "עברית", "№ 7 ⅜"]
)
def test_letters_that_the_font_lacks_stop_no_booklet(lived: Unit, owner: Person, name: str) -> None:
    lived.name = f"{name} unit"
    lived.save()
    assert booklet_of(lived, owner).startswith(b"%PDF")


def test_who_sees_less_gets_less(
    client: Client, lived: Unit, fitter: Person, stranger: Person, consent: Consent, today: date
) -> None:
    assert booklet_data(lived, fitter, today)["plan"] is not None
    Consent.objects.all().delete()
    data = booklet_data(lived, fitter, today)
    assert data["plan"] is data["oil"] is data["looking"] is None
    assert data["built"]["rows"]
    client.force_login(stranger)
    assert client.get(reverse("plans:booklet", args=[lived.pk])).status_code == 404


def test_tag_goes_in_for_who_gives_it_alone(
    lived: Unit, owner: Person, fitter: Person, today: date
) -> None:
    assert booklet_data(lived, owner, today)["tag"]["code"] == ""
    offer = offer_unit(unit=lived, by=owner)
    assert booklet_data(lived, owner, today)["tag"]["code"] == code_from(offer.nonce)
    assert booklet_data(lived, fitter, today)["tag"]["code"] == ""
