"""The pages of notices in a browser."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from advisory.notices.actions.feeds import make_feed
from advisory.notices.actions.preferences import preference_of
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.mail_links import item_secret, reading_secret
from advisory.notices.models import NoticePreference, ReadingRequest, Snooze
from advisory.people.models import Person
from advisory.plans.enums import DueState
from advisory.plans.models import WorkDone
from advisory.register.enums import WorkKind
from advisory.register.models import Car, Unit
from advisory.usage.models import Reading
from tests.accessibility import assert_page_serves
from tests.browser import OpenPage
from tests.notices.conftest import NOON, make_item

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize(("width", "dark"), [(390, True), (1280, False)])
def test_each_page_serves(
    open_page: OpenPage, whole_unit: Unit, owner: Person, width: int, dark: bool
) -> None:
    make_item(whole_unit, WorkKind.OIL_CHANGE, DueState.LATE)
    make_item(whole_unit, WorkKind.PIPE_CHECK)
    raise_reminders(now=NOON)
    make_feed(by=owner)
    preference = preference_of(owner)
    preference.refused_address = owner.email
    preference.save()
    page = open_page(person=owner, width=width, dark=dark)
    for path in (
        reverse("notices:messages"),
        reverse("notices:feeds"),
        reverse("notices:preferences"),
        reverse("notices:unsubscribe", args=[preference.unsubscribe_secret]),
    ):
        page.goto(path)
        assert_page_serves(page)


def test_the_click_in_a_mail_asks_first_and_then_stops(open_page: OpenPage, owner: Person) -> None:
    url = reverse("notices:unsubscribe", args=[preference_of(owner).unsubscribe_secret])
    page = open_page(width=390)

    page.goto(f"{url}?of=reminders")
    expect(page.get_by_role("heading", level=1)).to_have_text("Stop reminders by mail?")
    page.get_by_role("button", name="Stop them").click()

    expect(page.get_by_role("heading", level=1)).to_have_text("No more reminders by mail")
    assert not NoticePreference.objects.get(person=owner).reminders_by_mail
    assert_page_serves(page)


def test_the_forms_behind_a_mails_links_are_sent(
    open_page: OpenPage, owner: Person, car: Car, unit: Unit
) -> None:
    """By a browser that says where from, as the guard against other sites' forms asks."""
    item = make_item(unit, WorkKind.SEAL_WEEP)
    asked = ReadingRequest.objects.create(car=car, item=item, person=owner, number=1, worth=9.0)
    secret = item_secret(item, owner)
    page = open_page(width=390)

    page.goto(reverse("notices:reading", args=[reading_secret(asked)]))
    page.get_by_label("Odometer").first.fill("41377")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_load_state()
    assert Reading.objects.get().shown == 41_377

    page.goto(reverse("notices:later_by_mail", args=[secret]))
    page.get_by_label("Waiting for parts or oil").check()
    page.get_by_label("Remind me on").fill(f"{timezone.localdate() + timedelta(days=9)}")
    page.get_by_role("button", name="Remind me later").click()
    page.wait_for_load_state()
    assert Snooze.objects.get().person == owner

    page.goto(reverse("notices:done", args=[secret]))
    page.get_by_role("button", name="Done: write it down").click()
    page.wait_for_load_state()
    assert WorkDone.objects.get().by == owner
    assert_page_serves(page)
