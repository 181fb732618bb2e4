"""The light of the pages, the main entries, and what a person meets when something is wrong."""

import pytest
from django.http import HttpRequest
from django.template import Context, Template
from django.template.loader import render_to_string
from django.test import Client, RequestFactory

from advisory.notices.context import masthead
from advisory.people.enums import Role
from advisory.people.models import Membership, Organisation, Person
from advisory.people.queries import at_work
from advisory.register.models import Unit


def request_of(request: HttpRequest, person: Person) -> HttpRequest:
    request.user = person
    return request


def entries(request: HttpRequest, person: Person, **more: object) -> str:
    context = Context({"request": request, "user": person, "at_work": at_work(person)})
    context.update(masthead(request_of(request, person)) | more)
    return Template(
        "{% load navigation %}{% main_entries as entries %}"
        "{% for e in entries %}{{ e.label }}{% if e.current %}*{% endif %},{% endfor %}"
    ).render(context)


@pytest.mark.parametrize("theme", ["light", "dark", "auto"])
def test_chosen_light_is_kept_and_used(client: Client, theme: str) -> None:
    response = client.post("/theme/", {"theme": theme, "next": "/account/login/?a=1"})
    assert response.headers["Location"] == "/account/login/?a=1"
    assert client.cookies["theme"].value == theme
    assert f'data-theme="{theme}"' in client.get("/account/login/").content.decode()


def test_unknown_light_is_as_the_device_says(client: Client) -> None:
    client.cookies["theme"] = '"><script>'
    assert 'data-theme="auto"' in client.get("/account/login/").content.decode()


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example/", "//elsewhere.example", ""])
def test_choosing_a_light_never_leads_elsewhere(client: Client, elsewhere: str) -> None:
    response = client.post("/theme/", {"theme": "dark", "next": elsewhere})
    assert response.headers["Location"] == "/"


def test_light_is_not_chosen_by_a_link(client: Client) -> None:
    assert client.get("/theme/").status_code == 405


@pytest.mark.parametrize("name", ["400", "403", "404", "429", "500", "403_csrf"])
def test_error_page_stands_without_any_context(name: str) -> None:
    html = render_to_string(f"{name}.html")
    assert "<h1>" in html
    assert "button-primary" in html  # there is a way on


@pytest.mark.django_db
def test_strange_address_answers_in_our_words(client: Client) -> None:
    response = client.get("/no/such/page/")
    assert response.status_code == 404
    assert "Nothing here under that address" in response.content.decode()


def test_stale_form_answers_in_our_words() -> None:
    response = Client(enforce_csrf_checks=True).post("/theme/", {"theme": "dark"})
    assert response.status_code == 403
    assert "Send it once more" in response.content.decode()


def test_nobody_signed_in_sees_no_entries(client: Client) -> None:
    assert 'class="index"' not in client.get("/account/login/").content.decode()


@pytest.mark.django_db
def test_workshop_sees_the_inbox_and_an_owner_does_not(
    owner: Person, fitter: Person, officer: Person, rf: RequestFactory
) -> None:
    request = rf.get("/account/email/")
    assert entries(request, owner) == "Units,Logbook,Messages,Account*,"
    assert entries(request, fitter) == "Units,Messages,Findings,Calculators,Account*,"
    assert entries(request, officer) == "Messages,Fleet report,Account*,"


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/builds/4/", "/designs/", "/units/2/", "/workshops/1/units/"])
def test_pages_of_the_books_belong_to_the_workshops_units(
    fitter: Person, rf: RequestFactory, path: str
) -> None:
    assert entries(rf.get(path), fitter).startswith("Units*,")


@pytest.mark.django_db
def test_who_works_in_two_workshops_reaches_the_units_of_both(
    fitter: Person, workshop: Organisation, other_workshop: Organisation, rf: RequestFactory
) -> None:
    Membership.objects.create(person=fitter, organisation=other_workshop, role=Role.FITTER)
    there = entries(rf.get(f"/workshops/{other_workshop.pk}/units/"), fitter)
    assert f"{workshop.name}," in there
    assert f"{other_workshop.name}*," in there


@pytest.mark.django_db
def test_who_works_and_owns_reaches_both(
    unit: Unit, fitter: Person, officer: Person, rf: RequestFactory
) -> None:
    others = unit.owner
    for person in (fitter, officer):
        Unit.objects.filter(pk=unit.pk).update(owner=person)
        unit.refresh_from_db()
        own = entries(rf.get(f"/units/{unit.pk}/"), person, unit=unit)
        if person == fitter:
            assert own.startswith("Own units*,Units,Logbook,Messages,")
            unit.owner = others
            assert entries(rf.get("/units/9/"), person, unit=unit).startswith("Own units,Units*,")
        else:
            assert own == "Units*,Logbook,Messages,Fleet report,Account,"
