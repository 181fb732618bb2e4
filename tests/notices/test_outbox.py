"""Asking for a sweep: once the transaction stands, and never a fault of the one who asked."""

import time

import pytest
from celery import current_app
from django.db import transaction
from kombu.exceptions import OperationalError

from advisory.notices.actions.outbox import SWEEP, send_soon
from advisory.notices.tasks import deliver_waiting_mail
from tests.worker import jobs_go_to

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def asked(monkeypatch) -> list[str]:
    names: list[str] = []
    monkeypatch.setattr(current_app, "send_task", lambda name, **_: names.append(name))
    return names


def test_a_sweep_is_asked_for_when_the_transaction_stands(settings, asked) -> None:
    settings.BROKER_URL = "redis://127.0.0.1:1"

    with transaction.atomic():
        send_soon()
        assert asked == []

    assert asked == [SWEEP] == [deliver_waiting_mail.name]


def test_without_a_broker_nothing_is_asked_for(settings, asked) -> None:
    settings.BROKER_URL = ""

    send_soon()

    assert asked == []


@pytest.mark.parametrize("error", [OperationalError("away"), ConnectionRefusedError()])
def test_a_broker_that_is_away_is_no_fault(settings, monkeypatch, error) -> None:
    settings.BROKER_URL = "redis://127.0.0.1:1"

    def fail(name: str, **_: object) -> None:
        raise error

    monkeypatch.setattr(current_app, "send_task", fail)

    with transaction.atomic():
        send_soon()


def test_a_broker_that_is_truly_not_there_is_no_fault_and_nobody_waits(settings) -> None:
    settings.BROKER_URL = "redis+socket:///nonexistent/broker.sock"
    began = time.monotonic()

    with jobs_go_to(settings.BROKER_URL), transaction.atomic():
        send_soon()

    assert time.monotonic() - began < 5
