"""Starting a job at once, where there is a broker, without ever waiting for one that is away."""

import logging

from celery import current_app
from django.conf import settings
from django.db import transaction
from kombu.exceptions import OperationalError

logger = logging.getLogger(__name__)

# By itself the client tries for seconds to reach a broker; a page can't wait for that.
AT_ONCE_OR_NOT = {
    "max_retries": 1,
    "interval_start": 0,
    "socket_connect_timeout": 1,
    "socket_timeout": 2,
}


def start_soon(name: str) -> None:
    """Start a job once this transaction stands.

    Only for what the clock does as well: it makes it quicker, so a broker that is away is no fault.
    """
    if settings.BROKER_URL:
        transaction.on_commit(lambda: _start(name), robust=True)


def _start(name: str) -> None:
    options = {**current_app.conf.broker_transport_options, **AT_ONCE_OR_NOT}
    try:
        with current_app.connection_for_write(
            connect_timeout=1, transport_options=options
        ) as connection:
            current_app.send_task(name, connection=connection, retry=False, ignore_result=True)
    except (OperationalError, OSError) as error:
        logger.warning("The broker is away, %s is left to the clock: %s", name, error)
