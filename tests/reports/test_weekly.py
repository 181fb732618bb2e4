"""The week's letter: once a week, only what its reader may see, none with nothing to say."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.core import mail as outgoing
from django.test import Client
from django.urls import reverse

from advisory.findings.actions import report_finding
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.preferences import choose_notices, preference_of
from advisory.notices.enums import MailKind, MailState
from advisory.notices.models import Mail
from advisory.people.actions import withdraw_consent
from advisory.people.models import Consent, Organisation, Person
from advisory.register.models import Unit
from advisory.reports.actions import write_weekly_letters
from advisory.reports.models import FleetReport

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
MONDAY = datetime(2024, 5, 20, 9, 0, tzinfo=UTC)


@pytest.fixture
def found(whole_unit: Unit, owner: Person, fitter: Person) -> Unit:
    choose_notices(by=fitter, weekly_by_mail=True)
    with time_machine.travel(MONDAY - timedelta(days=2), tick=False):
        report_finding(
            unit=whole_unit,
            by=owner,
            text="A groove at the washer",
            seen_on=MONDAY.date() - timedelta(days=3),
        )
    Mail.objects.all().delete()
    return whole_unit


def weekly_mails() -> list[Mail]:
    return list(Mail.objects.filter(kind=MailKind.WEEKLY))


def sent(at: datetime) -> list[str]:
    outgoing.outbox.clear()
    with time_machine.travel(at, tick=False):
        write_weekly_letters(now=at)
        deliver_waiting()
    return [str(letter.body) for letter in outgoing.outbox]


def test_what_waits_is_told_once_a_week(found: Unit) -> None:
    (letter,) = sent(MONDAY)
    assert "Findings that nobody has opened: 1" in letter
    assert "/findings/?state=sent" in letter
    assert sent(MONDAY + timedelta(hours=1)) == []
    assert sent(MONDAY + timedelta(days=6)) == []
    assert len(sent(MONDAY + timedelta(days=7))) == 1


def test_week_is_that_of_the_persons_own_zone(found: Unit, fitter: Person) -> None:
    Person.objects.filter(pk=fitter.pk).update(zone="Pacific/Auckland")
    sunday_evening = datetime(2024, 5, 19, 20, 30, tzinfo=UTC)  # Monday morning there
    assert len(sent(sunday_evening)) == 1
    assert sent(MONDAY) == []


def test_it_waits_for_the_hours_and_days_chosen(found: Unit, fitter: Person) -> None:
    choose_notices(by=fitter, mail_days=0b0000100)  # Wednesdays
    assert sent(MONDAY) == []
    assert len(sent(MONDAY + timedelta(days=2))) == 1


@pytest.mark.parametrize("why", ["nothing", "withdrawn", "not asked for"])
def test_none_comes_without_anything_to_say(
    why: str, found: Unit, owner: Person, fitter: Person, consent: Consent
) -> None:
    if why == "nothing":
        found.findings.all().delete()
    elif why == "withdrawn":
        withdraw_consent(consent=consent, by=owner)
    else:
        choose_notices(by=fitter, weekly_by_mail=False)
    assert sent(MONDAY) == []
    assert all(mail.state == MailState.HELD for mail in weekly_mails())


def test_two_runs_at_once_and_a_clock_that_jumps_double_nothing(found: Unit) -> None:
    for at in (MONDAY, MONDAY, MONDAY - timedelta(hours=3), MONDAY + timedelta(days=1)):
        write_weekly_letters(now=at)
    assert len(weekly_mails()) == 1


def test_officer_hears_of_a_new_report_and_of_no_member(
    found: Unit, club: Organisation, officer: Person, owner: Person
) -> None:
    choose_notices(by=officer, weekly_by_mail=True)
    FleetReport.objects.create(
        organisation=club, on=MONDAY.date(), finished_at=MONDAY - timedelta(days=1)
    )
    letters = sent(MONDAY)
    (theirs,) = [letter for letter in letters if "fleet report" in letter]
    assert "20 May 2024" in theirs
    assert "groove" not in theirs
    assert owner.name not in theirs


def test_owner_without_work_is_not_asked_and_gets_none(
    found: Unit, owner: Person, fitter: Person, client: Client
) -> None:
    choose_notices(by=owner, weekly_by_mail=True)  # from the API, say
    assert len(sent(MONDAY)) == 1
    client.force_login(fitter)
    assert "weekly_by_mail" in client.get(reverse("notices:preferences")).content.decode()
    choose_notices(by=owner, weekly_by_mail=False)
    client.force_login(owner)
    assert "weekly_by_mail" not in client.get(reverse("notices:preferences")).content.decode()


def test_one_click_stops_it(found: Unit, fitter: Person, client: Client) -> None:
    secret = preference_of(fitter).unsubscribe_secret
    client.post(reverse("notices:unsubscribe", args=[secret]) + "?of=week")
    preference = preference_of(fitter)
    assert not preference.weekly_by_mail
    assert preference.findings_by_mail
