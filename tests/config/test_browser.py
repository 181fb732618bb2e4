"""The fixtures that drive a browser notice what a person would miss."""

from pathlib import Path

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


def icon(_request: HttpRequest) -> HttpResponse:
    """Answer what a browser asks for unasked."""
    return HttpResponse(status=204)


urlpatterns = [path("favicon.ico", icon), path("<name>/", shown)]
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
def test_browser_is_installed_from_the_systems_packages(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("ctypes.util.find_library", lambda name: name)
    monkeypatch.delenv("CHROMIUM", raising=False)
    monkeypatch.setenv("PATH", f"{tmp_path}:/bin")
    monkeypatch.setattr(machine, "NAMES", ("a-browser",))
    apt_get = tmp_path / "apt-get"
    apt_get.write_text(
        f'#!/bin/sh\necho "$@" >> {tmp_path}/asked\n'
        f"printf '#!/bin/sh\\n' > {tmp_path}/a-browser\nchmod +x {tmp_path}/a-browser\n"
    )
    apt_get.chmod(0o755)
    assert machine.find_chromium() is None
    assert machine.install_chromium()
    asked = (tmp_path / "asked").read_text().splitlines()
    assert [line.split()[2] for line in asked] == ["update", "install"]
    assert asked[1].split()[-2:] == ["chromium-headless-shell", "libatomic1"]
    apt_get.write_text("#!/bin/sh\nexit 100\n")
    assert not machine.install_chromium()


@pytest.mark.one_database
def test_browser_with_windows_is_installed_where_there_is_no_other(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("ctypes.util.find_library", lambda name: name)
    monkeypatch.setenv("PATH", f"{tmp_path}:/bin")
    monkeypatch.setenv("CHROMIUM", "/bin/sh")
    apt_get = tmp_path / "apt-get"
    apt_get.write_text(
        f'#!/bin/sh\necho "$@" >> {tmp_path}/asked\n'
        'case "$*" in *headless-shell*) exit 100 ;; esac\n'
    )
    apt_get.chmod(0o755)
    assert machine.install_chromium()
    asked = (tmp_path / "asked").read_text().splitlines()
    assert [line.split()[-2] for line in asked[1:]] == list(machine.KINDS)


@pytest.mark.one_database
def test_browser_named_in_the_environment_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ctypes.util.find_library", lambda name: name)
    monkeypatch.setenv("CHROMIUM", "/bin/sh")
    assert machine.find_chromium() == "/bin/sh"
    monkeypatch.setenv("CHROMIUM", "/nonexistent")
    assert machine.find_chromium() is None
