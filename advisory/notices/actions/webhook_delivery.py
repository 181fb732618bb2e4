"""Delivering what waits for workshops' own systems.

As with mail, a worker claims a message with one conditional UPDATE that holds it for a while, posts
it, and notes what came of it; killed in between, the message is taken up again once the hold has
run out. A worker that dies after the other side took it and before the note is written sends it
again under the same id, by which Standard Webhooks has a receiver take it once.
"""

import json
import logging
import time
from datetime import datetime, timedelta

from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.notices.enums import WebhookState
from advisory.notices.letters.letter import Withheld
from advisory.notices.models import Webhook, WebhookMessage
from advisory.notices.queries import waiting_messages
from advisory.notices.webhooks.addresses import NotReached, resolved
from advisory.notices.webhooks.payload import payload_of
from advisory.notices.webhooks.posting import post
from advisory.notices.webhooks.signing import nonces_of, signed_headers

logger = logging.getLogger(__name__)

# Longer than one may take, with the time for a name to be found.
HOLD = timedelta(minutes=5)
# After a failure it waits a minute, then twice as long each time, up to half a day.
FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=12)
AT_ONCE = 100
SECONDS_A_SWEEP = 50.0
MOST_TRIES_SHOWN = 40
LONGEST_ERROR = 300


def wait_after(tried: int) -> timedelta:
    """Return how long it waits after so many failures."""
    # a minute doubled ten times is more than the longest wait
    return min(FIRST_WAIT * (1 << min(tried - 1, 10)), LONGEST_WAIT)


def deliver_messages(*, seconds: float = SECONDS_A_SWEEP) -> int:
    """Deliver what waits; return how many arrived.

    A system that does not take one message is left alone until the next sweep: the others to it
    wait, and for none it counts as a try.
    """
    until = time.monotonic() + seconds
    arrived, away = 0, set[int]()
    while time.monotonic() < until:
        rows = waiting_messages(timezone.now()).exclude(organisation__in=away)
        due = list(rows.values_list("pk", "organisation_id")[:AT_ONCE])
        if not due:
            break
        for pk, organisation in due:
            if organisation in away or time.monotonic() >= until:
                continue
            state = deliver_message(pk)
            arrived += state == WebhookState.ARRIVED
            if state in {WebhookState.WAITING, WebhookState.GIVEN_UP}:
                away.add(organisation)
    return arrived


def deliver_message(pk: int) -> WebhookState | None:
    """Deliver one message if it waits and nobody else holds it; return what became of it."""
    now = timezone.now()
    claimed = waiting_messages(now).filter(pk=pk)
    if not claimed.update(held_until=now + HOLD, tried=F("tried") + 1):
        return None
    message = WebhookMessage.objects.select_related(
        "finding__unit__workshop", "finding__unit__owner"
    ).get(pk=pk)
    webhook = Webhook.objects.filter(organisation=message.organisation_id, stopped_at=None).first()
    if webhook is None:
        return _held(message, _("Nothing is sent to this system any more."))
    try:
        said = payload_of(message)
        if isinstance(said, Withheld):
            return _held(message, said.reason)
        message.payload = said
        status = _post(webhook, message, now)
    except NotReached as error:
        return _failed(message, 0, str(error))
    except Exception as error:
        logger.exception("Message %s could not be put together", message.key)
        return _failed(message, 0, f"{type(error).__name__}: {error}")
    if not 200 <= status < 300:
        return _failed(message, status, _refusal_in_words(status))
    _add_try(message, status, "")
    return _noted(message, WebhookState.ARRIVED, arrived_at=timezone.now())


def _post(webhook: Webhook, message: WebhookMessage, now: datetime) -> int:
    body = json.dumps(message.payload, separators=(",", ":")).encode()
    headers = {
        "Content-Type": "application/json",
        "User-Agent": "Advisory",
        **signed_headers(message.message_id, now, body, nonces_of(webhook, now)),
    }
    return post(resolved(webhook.url), body, headers)


def _refusal_in_words(status: int) -> str:
    if 300 <= status < 400:
        return _("It sends on to another address, where nothing is sent. Enter that one.")
    return _("It answered with the status %(status)d and not with 2xx.") % {"status": status}


def _failed(message: WebhookMessage, status: int, said: str) -> WebhookState:
    """Put a message back for a later try, or give it up."""
    _add_try(message, status, said)
    logger.info("Message %s, try %d: %s", message.key, message.tried, said)
    next_try = timezone.now() + wait_after(message.tried)
    if next_try > message.give_up_at:
        logger.warning("Message %s is given up: %s", message.key, said)
        return _noted(message, WebhookState.GIVEN_UP)
    return _noted(message, WebhookState.WAITING, next_try_at=next_try)


def _held(message: WebhookMessage, why: str) -> WebhookState:
    message.payload = {}
    _add_try(message, 0, why)
    return _noted(message, WebhookState.HELD)


def _add_try(message: WebhookMessage, status: int, said: str) -> None:
    one = {
        "at": timezone.now().isoformat(),
        "status": status,
        "said": said[:LONGEST_ERROR],
    }
    message.tries = [*message.tries, one][-MOST_TRIES_SHOWN:]


def _noted(message: WebhookMessage, state: WebhookState, **fields: object) -> WebhookState:
    """Write what became of a message that is still ours."""
    noted = WebhookMessage.objects.filter(
        pk=message.pk, state=WebhookState.WAITING, held_until=message.held_until
    ).update(state=state, held_until=None, payload=message.payload, tries=message.tries, **fields)
    if not noted:
        logger.warning("Message %s was held too long; another worker has it as well", message.key)
    return state
