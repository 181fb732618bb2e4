"""Pages in a real browser.

`page` is a desktop page; `open_page(person=owner, width=390)` gives a page of any size, in light or
dark, with somebody signed in. Addresses are relative to the live server: `page.goto("/")`. A page
that logs an error, breaks the content-security policy, raises in a script or asks another machine
for anything fails its test; one that is meant to takes it out of `page_problems` first.
"""

import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, expect, sync_playwright

from advisory.config.machine.browser import FLAGS, HOW_TO_GET_IT, find_chromium
from advisory.people.models import Person

PHONE, DESKTOP = 390, 1280
PATIENCE = 15_000  # ms
HEIGHTS = {PHONE: 844, DESKTOP: 800}
OpenPage = Callable[..., Page]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for all the tests of a process."""
    path = find_chromium()
    if path is None:
        message = f"No Chromium here. {HOW_TO_GET_IT}"
        if os.environ.get("CI", "").lower() in {"1", "true", "yes"}:
            pytest.fail(message)
        pytest.skip(message)
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as driver:
        # The driver keeps an event loop in this thread, which Django takes for asynchronous code.
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        # The first page of a process imports half of the service.
        expect.set_options(timeout=PATIENCE)
        running = driver.chromium.launch(executable_path=path, args=list(FLAGS))
        yield running
        running.close()


@pytest.fixture
def page_problems() -> list[str]:
    """What went wrong on the test's pages so far."""
    return []


@pytest.fixture
def open_page(browser: Browser, live_server: Any, page_problems: list[str]) -> Iterator[OpenPage]:
    """Open pages as a person, at a width, in a colour scheme; further options go to the browser."""
    contexts = []

    def note_console(message: ConsoleMessage) -> None:
        # a form that must be put right is answered with 422, which the browser counts as an error
        if message.type == "error" and "status of 422" not in message.text:
            page_problems.append(f"{message.text} ({message.location.get('url', '')})")

    def note_request(request: Request) -> None:
        if not request.url.startswith((live_server.url, "data:", "blob:", "about:")):
            page_problems.append(f"asked another machine: {request.url}")

    def opened(
        *, person: Person | None = None, width: int = DESKTOP, dark: bool = False, **options: Any
    ) -> Page:
        context = browser.new_context(
            base_url=live_server.url,
            viewport={"width": width, "height": HEIGHTS.get(width, 800)},
            color_scheme="dark" if dark else "light",
            locale="en-GB",
            **options,
        )
        contexts.append(context)
        context.set_default_timeout(PATIENCE)
        if person is not None:
            client = Client()
            client.force_login(person)
            name = settings.SESSION_COOKIE_NAME
            context.add_cookies(
                [{"name": name, "value": client.cookies[name].value, "url": live_server.url}]
            )
        context.on("console", note_console)
        context.on("request", note_request)
        context.on("weberror", lambda error: page_problems.append(str(error.error)))
        return context.new_page()

    yield opened
    for context in contexts:
        context.close()
    assert not page_problems


@pytest.fixture
def page(open_page: OpenPage) -> Page:
    """A desktop page with nobody signed in."""
    return open_page()
