"""Letters about getting in go through the outbox: no page waits for a mail server."""

import re

import pytest
from django.core import mail as outgoing
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.admin import MailLog
from advisory.notices.enums import MailKind, MailState
from advisory.notices.models import Mail
from advisory.people.models import Person
from tests.notices.sink import free_port, running_sink

pytestmark = pytest.mark.django_db(transaction=True)

SIGN_UP = {
    "name": "Wilma Tarrant",
    "email": "wilma.tarrant@example.com",
    "password1": "three odd words here",
}


def sign_up(client: Client) -> Mail:
    answer = client.post(reverse("account_signup"), SIGN_UP)
    assert answer["Location"] == reverse("account_email_verification_sent")
    return Mail.objects.get()


def link_in(text: str) -> str:
    (path,) = re.findall(r"https?://[^/\s]+(/account/confirm-email/\S+)", text)
    return str(path)


def test_without_jobs_it_goes_at_once_and_its_text_is_forgotten(client: Client) -> None:
    mail = sign_up(client)

    (message,) = outgoing.outbox
    assert (mail.kind, mail.state, mail.text) == (MailKind.ACCOUNT, MailState.SENT, "")
    assert (message.to, message.subject) == ([SIGN_UP["email"]], mail.subject)
    assert message.extra_headers["Message-ID"] == mail.message_id
    assert client.get(link_in(message.body)).status_code == 200


def test_with_jobs_the_page_sends_nothing_itself(client: Client, settings, monkeypatch) -> None:
    settings.BROKER_URL = "redis+socket:///nonexistent/broker.sock"
    monkeypatch.setattr("advisory.common.jobs._start", lambda name: None)

    mail = sign_up(client)
    assert (mail.state, outgoing.outbox) == (MailState.WAITING, [])

    deliver_waiting()
    assert link_in(outgoing.outbox[0].body)


def test_mail_server_that_is_away_costs_no_page_and_no_letter(client: Client, settings) -> None:
    port = free_port()
    settings.EMAIL_BACKEND = "advisory.common.smtp.CourierBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port

    mail = sign_up(client)
    assert mail.state == MailState.WAITING
    assert Person.objects.filter(email=SIGN_UP["email"]).exists()
    confirm = link_in(mail.text)

    with running_sink(port) as (sink, _port):
        Mail.objects.update(next_try_at=timezone.now())
        deliver_waiting()
        assert sink.taken == {mail.message_id: 1}
    assert client.post(confirm).status_code == 302


def test_lost_password_and_a_changed_one_go_the_same_way(client: Client, owner: Person) -> None:
    client.post(reverse("account_reset_password"), {"email": owner.email})
    client.post(reverse("account_reset_password"), {"email": "nobody@example.com"})

    assert {mail.to for mail in Mail.objects.all()} == {owner.email, "nobody@example.com"}
    assert "/password/reset/" in next(m.body for m in outgoing.outbox if m.to == [owner.email])


def test_text_of_a_letter_that_waits_is_not_in_the_log(client: Client, settings) -> None:
    settings.BROKER_URL = "redis+socket:///nonexistent/broker.sock"
    mail = sign_up(client)

    assert mail.text
    assert MailLog.text_sent(None, mail) == ""  # type: ignore[arg-type]
