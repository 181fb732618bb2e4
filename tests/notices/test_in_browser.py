"""The pages of notices in a browser."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from advisory.notices.actions.feeds import make_feed
from advisory.notices.actions.preferences import preference_of
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.models import NoticePreference
from advisory.people.models import Person
from advisory.plans.enums import DueState
from advisory.register.enums import WorkKind
from advisory.register.models import Unit
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
