"""The fixtures that drive a browser notice what a person would miss."""

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import override_settings
from django.urls import path

from advisory.config.machine import browser as machine
from advisory.people.models import Person
from tests.browser import PHONE, OpenPage

pages = {
    "good": "<title>Good</title><p>Well.",
    "elsewhere": '<title>Far</title><img src="http://192.0.2.1/x.png" alt="">',
    "inline": "<title>Inline</title><script>document.title = 'ran'</script>",
}


def shown(request: HttpRequest, name: str) -> HttpResponse:
    if name == "who":
        return HttpResponse(f"<title>{request.user}</title>")
    return HttpResponse(pages[name])


urlpatterns = [path("<name>/", shown)]
with_test_pages = override_settings(ROOT_URLCONF=__name__)


@with_test_pages
def test_good_page_has_no_problem(open_page: OpenPage, page_problems: list[str]) -> None:
    page = open_page(width=PHONE, dark=True)
    page.goto("/good/")
    assert page.title() == "Good"
    assert page.evaluate("innerWidth") == PHONE
    assert page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches")
    assert page_problems == []


@with_test_pages
def test_script_inside_a_page_is_blocked_and_noticed(
    open_page: OpenPage, page_problems: list[str]
) -> None:
    page = open_page()
    page.goto("/inline/")
    assert page.title() == "Inline"
    assert any("Content Security Policy" in problem for problem in page_problems)
    page_problems.clear()


@with_test_pages
def test_request_to_another_machine_is_noticed(
    open_page: OpenPage, page_problems: list[str]
) -> None:
    with override_settings(CONTENT_SECURITY_POLICY=None):
        open_page().goto("/elsewhere/")
    assert "asked another machine: http://192.0.2.1/x.png" in page_problems
    page_problems.clear()


@with_test_pages
def test_person_is_signed_in(open_page: OpenPage, owner: Person) -> None:
    page = open_page(person=owner)
    page.goto("/who/")
    assert page.title() == str(owner)


@pytest.mark.one_database
def test_browser_is_missing_without_its_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ctypes.util.find_library", lambda _name: None)
    assert machine.find_chromium() is None


@pytest.mark.one_database
def test_browser_named_in_the_environment_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ctypes.util.find_library", lambda name: name)
    monkeypatch.setenv("CHROMIUM", "/bin/sh")
    assert machine.find_chromium() == "/bin/sh"
    monkeypatch.setenv("CHROMIUM", "/nonexistent")
    assert machine.find_chromium() is None
