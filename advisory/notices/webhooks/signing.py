"""Signing as Standard Webhooks has it, with a secret that is worked out and not kept.

Source: the Standard Webhooks specification 1.0.0, "Webhook headers" and "Signature scheme":
HMAC-SHA256 over `id.timestamp.body`, base64, with the version `v1` before it; several signatures
stand with a blank between them while a secret is changed.
"""

import base64
import hashlib
import hmac
from collections.abc import Sequence
from datetime import datetime, timedelta

from django.utils.crypto import salted_hmac

from advisory.notices.models import Webhook

SECRET_PREFIX = "whsec_"  # noqa: S105  # what every such secret begins with
SALT = "advisory.notices.webhooks"
# How long the secret before still signs after a change.
BOTH_SIGN_FOR = timedelta(hours=24)


def secret_of(nonce: str) -> str:
    """Return the secret as a receiver is given it: 32 bytes, of the 24 to 64 that are allowed."""
    return SECRET_PREFIX + base64.b64encode(_key(nonce)).decode()


def signed_headers(
    message_id: str, at: datetime, body: bytes, nonces: Sequence[str]
) -> dict[str, str]:
    """Return the three headers by which a receiver knows who sent a message, and when."""
    stamp = str(int(at.timestamp()))
    said = f"{message_id}.{stamp}.".encode() + body
    signatures = [
        "v1," + base64.b64encode(hmac.digest(_key(nonce), said, hashlib.sha256)).decode()
        for nonce in nonces
    ]
    return {
        "webhook-id": message_id,
        "webhook-timestamp": stamp,
        "webhook-signature": " ".join(signatures),
    }


def nonces_of(webhook: Webhook, now: datetime) -> list[str]:
    """Return what signs now: the secret, and for a day the one before."""
    former = webhook.former_nonce
    if former and webhook.former_until is not None and now < webhook.former_until:
        return [webhook.nonce, former]
    return [webhook.nonce]


def _key(nonce: str) -> bytes:
    return salted_hmac(SALT, nonce, algorithm="sha256").digest()
