"""The log of what a workshop's own system was told: for how long it is kept."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from advisory.config.settings import CELERY_BEAT_SCHEDULE
from advisory.notices.models import Webhook, WebhookMessage
from advisory.notices.tasks import drop_old_webhook_messages

pytestmark = pytest.mark.django_db
OLD, YOUNG = 91, 89


@pytest.fixture
def message(workshop):
    def made(state: str, days: int) -> WebhookMessage:
        then = timezone.now() - timedelta(days=days)
        return WebhookMessage.objects.create(
            organisation=workshop, key=f"{state}:{days}", event="trial", state=state,
            created_at=then, give_up_at=then, arrived_at=then if state == "arrived" else None,
        )  # fmt: skip

    return made


@pytest.mark.parametrize("state", ["arrived", "given_up"])
def test_what_is_over_is_kept_for_its_days_and_then_taken_out(message, state) -> None:
    kept = message(state, YOUNG)
    message(state, OLD)
    assert drop_old_webhook_messages() == 1
    assert WebhookMessage.objects.get() == kept


@pytest.mark.parametrize("state", ["waiting", "held"])
def test_what_told_nobody_anything_yet_stays_however_old(message, state) -> None:
    message(state, 4000)
    assert drop_old_webhook_messages() == 0
    assert WebhookMessage.objects.exists()


def test_it_is_done_each_night() -> None:
    nightly = {entry["task"] for entry in CELERY_BEAT_SCHEDULE.values()}
    assert drop_old_webhook_messages.name in nightly


def test_the_log_says_for_how_long_it_is_kept(message, workshop, manager, settings) -> None:
    settings.WEBHOOKS_KEPT_DAYS = 30
    Webhook.objects.create(organisation=workshop, url="https://system.example/")
    message("arrived", 1)
    client = Client()
    client.force_login(manager)
    page = client.get(reverse("notices:system", args=[workshop.pk])).text
    assert "is kept here for 30 days" in page
