"""Messages, preferences, the click that stops mail, calendar addresses, the mail log."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from advisory.findings.actions import answer_finding, report_finding
from advisory.notices.actions.feeds import make_feed
from advisory.notices.actions.preferences import preference_of
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailState
from advisory.notices.masthead import masthead_of
from advisory.notices.models import CalendarFeed, Mail, NoticePreference, Reminder
from advisory.plans.enums import DueState
from advisory.register.enums import WorkKind
from tests.cast import make_person
from tests.notices.conftest import NOON, make_item

pytestmark = pytest.mark.django_db

MESSAGES = "notices:messages"
USUAL_TIMES = {"mail_days": list(range(7)), "from_hour": 7, "until_hour": 21}


@pytest.fixture
def as_owner(client: Client, owner) -> Client:
    client.force_login(owner)
    return client


def messages_page(client: Client, **query: object) -> str:
    response = client.get(reverse(MESSAGES), query)
    assert response.status_code == 200
    return response.text


# Messages -----------------------------------------------------------------------------------------


def test_reminders_and_answers_stand_together_newest_first(
    as_owner, whole_unit, owner, fitter
) -> None:
    make_item(whole_unit)
    raise_reminders(now=NOON)
    finding = report_finding(unit=whole_unit, by=owner, text="It ticks.", seen_on=NOON.date())
    answer_finding(finding=finding, text="Leave it stand, and ring us.", by=fitter)

    page = messages_page(as_owner)

    answer = page.index("Leave it stand, and ring us.")
    reminder = page.index("Oil change is coming up: Pattern 4 blower 0417")
    assert answer < reminder
    assert reverse("findings:finding", args=[finding.pk]) in page
    assert reverse("plans:item", args=[whole_unit.pk, "oil_change"]) in page


def test_the_workshop_reads_of_a_new_finding(whole_unit, owner, fitter) -> None:
    report_finding(unit=whole_unit, by=owner, text="It ticks.", seen_on=NOON.date())
    client = Client()
    client.force_login(fitter)

    assert "its owner found something" in messages_page(client)


def test_they_are_marked_as_new_until_they_were_shown(as_owner, item, owner) -> None:
    raise_reminders(now=NOON)
    assert masthead_of(owner).unread == 1

    assert ">New<" in messages_page(as_owner).replace("\n", "").replace(" ", "")

    assert masthead_of(owner).unread == 0
    assert ">New<" not in messages_page(as_owner).replace("\n", "").replace(" ", "")


def test_only_what_was_on_the_page_counts_as_read(as_owner, owner, unit) -> None:
    item = make_item(unit)
    for cycle in range(1, 28):
        Reminder.objects.create(
            item=item,
            cycle=cycle,
            stage="near",
            person=owner,
            raised_at=NOON + timedelta(days=cycle),
        )

    messages_page(as_owner)
    assert masthead_of(owner).unread == 2

    messages_page(as_owner, page=2)
    assert masthead_of(owner).unread == 0


def test_what_was_done_since_says_so(as_owner, item) -> None:
    raise_reminders(now=NOON)
    item.cycle = 2
    item.state = DueState.AHEAD
    item.save()

    assert "Done since." in messages_page(as_owner)


def test_a_mail_that_was_given_up_is_shown_with_what_the_server_said(as_owner, item) -> None:
    raise_reminders(now=NOON)
    Mail.objects.update(state=MailState.GIVEN_UP, last_error="550 no such person")

    page = messages_page(as_owner)

    assert "could not be sent" in page
    assert "550 no such person" in page


def test_without_any_the_page_says_what_will_come(as_owner) -> None:
    assert "Nothing yet" in messages_page(as_owner)


@pytest.mark.parametrize("query", [{"page": "x"}, {"page": "-1"}, {"page": "999"}])
def test_a_page_that_is_not_there_is_no_error(as_owner, item, query) -> None:
    raise_reminders(now=NOON)

    messages_page(as_owner, **query)


def test_what_is_no_longer_theirs_is_no_longer_told(
    as_owner, whole_unit, owner, second_owner, fitter
) -> None:
    make_item(whole_unit)
    raise_reminders(now=NOON)
    finding = report_finding(unit=whole_unit, by=owner, text="It ticks.", seen_on=NOON.date())
    answer_finding(finding=finding, text="Leave it stand.", by=fitter)
    whole_unit.owner = second_owner
    whole_unit.save()

    page = messages_page(as_owner)

    assert "Pattern 4 blower" not in page
    assert "Leave it stand." not in page
    assert masthead_of(owner).unread == 0


def test_consent_withdrawn_takes_the_finding_out_of_the_workshops_messages(
    whole_unit, owner, fitter, consent
) -> None:
    report_finding(unit=whole_unit, by=owner, text="It ticks.", seen_on=NOON.date())
    consent.withdrawn_at = NOON
    consent.save()
    client = Client()
    client.force_login(fitter)

    assert "It ticks." not in messages_page(client)


@pytest.mark.parametrize("who", ["stranger", "fitter", "officer", "second_owner"])
def test_nobody_reads_anothers_messages(item, request, who) -> None:
    raise_reminders(now=NOON)
    client = Client()
    client.force_login(request.getfixturevalue(who))

    assert "Pattern 4 blower" not in messages_page(client)
    assert Reminder.objects.get().read_at is None


def test_the_page_takes_the_same_queries_with_one_and_with_three(
    as_owner, whole_unit, owner, fitter
) -> None:
    def queries() -> int:
        Reminder.objects.update(read_at=NOON)
        owner.finding_notices.update(read_at=NOON)
        with CaptureQueriesContext(connection) as caught:
            messages_page(as_owner)
        return len(caught)

    def add(work: WorkKind) -> None:
        make_item(whole_unit, work)
        raise_reminders(now=NOON)
        finding = report_finding(unit=whole_unit, by=owner, text=f"{work}", seen_on=NOON.date())
        answer_finding(finding=finding, text="Leave it.", by=fitter)

    add(WorkKind.OIL_CHANGE)
    one = queries()
    add(WorkKind.PIPE_CHECK)
    add(WorkKind.SEAL_WEEP)

    assert queries() == one


def test_what_waits_stands_beside_the_main_entries(as_owner, item) -> None:
    raise_reminders(now=NOON)

    waiting = as_owner.get(reverse("notices:feeds")).context["waiting"]

    assert waiting == {"notices:messages": 1, "findings:inbox": 0}


# Preferences --------------------------------------------------------------------------------------


def test_a_person_chooses_which_mails_come(as_owner, owner) -> None:
    as_owner.post(reverse("notices:preferences"), {"findings_by_mail": "on", **USUAL_TIMES})

    preference = NoticePreference.objects.get(person=owner)
    assert not preference.reminders_by_mail
    assert preference.findings_by_mail


def test_a_refused_address_is_shown_and_tried_again_when_mail_is_chosen(as_owner, owner) -> None:
    NoticePreference.objects.create(person=owner, refused_address=owner.email)
    assert "Your address takes no mail" in as_owner.get(reverse("notices:preferences")).text

    as_owner.post(reverse("notices:preferences"), {"reminders_by_mail": "on", **USUAL_TIMES})

    assert NoticePreference.objects.get(person=owner).refused_address == ""


@pytest.mark.parametrize("page", ["people:account", "notices:messages", "notices:preferences"])
def test_a_refused_address_is_told_where_its_owner_looks(as_owner, owner, page) -> None:
    assert "refused" not in as_owner.get(reverse(page)).text
    kept = preference_of(owner)
    kept.refusing_address, kept.refused_times, kept.refused_words = owner.email, 1, "550 no box"
    kept.save()
    assert "Your last mail was refused" in as_owner.get(reverse(page)).text
    kept.refused_address = owner.email
    kept.save()
    told = as_owner.get(reverse(page)).text
    assert "Your address takes no mail" in told
    assert "550 no box" in told
    assert reverse("account_email") in told


# The click that stops mail ------------------------------------------------------------------------


@pytest.fixture
def stop_url(owner) -> str:
    return reverse("notices:unsubscribe", args=[preference_of(owner).unsubscribe_secret])


def wanted(owner) -> tuple[bool, bool]:
    preference = NoticePreference.objects.get(person=owner)
    return preference.reminders_by_mail, preference.findings_by_mail


def test_one_click_of_a_mail_program_stops_it(stop_url, owner) -> None:
    """RFC 8058, 3.2: a POST with that one field, no cookie, no page before it, no redirect."""
    client = Client(enforce_csrf_checks=True)

    response = client.post(
        f"{stop_url}?of=reminders",
        "List-Unsubscribe=One-Click",
        content_type="application/x-www-form-urlencoded",
    )

    assert response.status_code == 200
    assert wanted(owner) == (False, True)


def test_the_click_in_a_mail_about_findings_stops_those(stop_url, owner) -> None:
    Client().post(f"{stop_url}?of=findings", {"List-Unsubscribe": "One-Click"})

    assert wanted(owner) == (True, False)


@pytest.mark.parametrize("method", ["get", "head", "options"])
def test_merely_looking_stops_nothing(stop_url, owner, method) -> None:
    getattr(Client(), method)(stop_url)

    assert wanted(owner) == (True, True)


def test_a_person_is_asked_first_and_told_afterwards(stop_url) -> None:
    client = Client(enforce_csrf_checks=True)
    asked = client.get(stop_url).text
    assert "Stop reminders by mail?" in asked
    assert "<form" in asked

    told = client.post(stop_url).text

    assert "No more reminders by mail" in told


def test_stopping_twice_is_as_stopping_once(stop_url, owner) -> None:
    Client().post(stop_url)
    assert Client().post(stop_url).status_code == 200
    assert wanted(owner) == (False, True)


def test_an_address_that_nobody_was_sent_stops_nothing(db, owner) -> None:
    preference_of(owner)

    assert Client().post("/unsubscribe/guess/").status_code == 404
    assert wanted(owner) == (True, True)


def test_the_address_tells_nothing_of_the_person(stop_url, owner) -> None:
    page = Client().get(stop_url).text

    assert owner.email not in page
    assert owner.name not in page


# Calendar addresses -------------------------------------------------------------------------------


def test_an_address_is_made_shown_and_stopped(as_owner, owner, settings) -> None:
    settings.BASE_URL = "https://advisory.example"
    as_owner.post(reverse("notices:feeds"))
    feed = CalendarFeed.objects.get(person=owner)
    page = as_owner.get(reverse("notices:feeds")).text
    assert f"https://advisory.example/calendar/{feed.secret}.ics" in page

    as_owner.post(reverse("notices:feeds"), {"revoke": feed.pk})

    assert feed.secret not in as_owner.get(reverse("notices:feeds")).text
    assert Client().get(reverse("notices:feed", args=[feed.secret])).status_code == 404


@pytest.mark.parametrize("given", ["", "x", "9" * 30, "-1"])
def test_stopping_what_is_not_there_is_not_found(as_owner, given) -> None:
    assert as_owner.post(reverse("notices:feeds"), {"revoke": given}).status_code == 404
    assert not CalendarFeed.objects.exists()


def test_anothers_address_is_neither_shown_nor_stopped(as_owner, second_owner) -> None:
    feed = make_feed(by=second_owner)

    assert feed.secret not in as_owner.get(reverse("notices:feeds")).text
    assert as_owner.post(reverse("notices:feeds"), {"revoke": feed.pk}).status_code == 404
    feed.refresh_from_db()
    assert feed.revoked_at is None


@pytest.mark.parametrize("route", ["messages", "preferences", "feeds"])
def test_nobody_signed_in_is_led_to_sign_in(db, route) -> None:
    response = Client().get(reverse(f"notices:{route}"))

    assert response.status_code == 302
    assert response.url.startswith(reverse("account_login"))


# The mail log -------------------------------------------------------------------------------------


@pytest.fixture
def as_admin(db) -> Client:
    client = Client()
    client.force_login(make_person("Ada Keeper", is_staff=True, is_superuser=True))
    return client


def test_the_mail_log_is_read_and_not_written(as_admin, item) -> None:
    raise_reminders(now=NOON)
    mail = Mail.objects.get()
    assert mail.to in as_admin.get(reverse("admin:notices_mail_changelist")).text
    url = reverse("admin:notices_mail_change", args=[mail.pk])
    page = as_admin.get(url).text
    assert mail.message_id.strip("<>") in page
    assert 'name="_save"' not in page

    assert as_admin.post(url, {"state": "sent"}).status_code == 403
    assert as_admin.get(reverse("admin:notices_mail_add")).status_code == 403
    mail.refresh_from_db()
    assert mail.state == MailState.WAITING


def test_the_mail_log_never_shows_an_invitations_address(as_admin, item) -> None:
    mail = Mail.objects.create(
        key="i", kind="invitation", to="x@y.example", message_id="<i@x>", text="token open-sesame"
    )

    assert (
        "open-sesame" not in as_admin.get(reverse("admin:notices_mail_change", args=[mail.pk])).text
    )
