"""gunicorn's settings in production: `gunicorn --config python:advisory.config.watch.serving`.

Processes and address are given on the command line. Its own log has the form of the service's;
it writes no line a request, for the service does so itself, without what names a person.
"""

import gc
import os
from typing import Any

from advisory.config.watch.log_lines import logging_settings


def post_worker_init(_worker: Any) -> None:
    """Look for garbage less often, and not among what was loaded: it cost a tenth of each page."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


worker_class = "gthread"
threads = 4
timeout = 60
graceful_timeout = 20
accesslog = None
control_socket_disable = True
logconfig_dict = logging_settings(
    os.environ.get("LOG_FORMAT") or "json", os.environ.get("LOG_LEVEL") or "INFO"
) | {
    # what gunicorn would hang onto these two names goes the way of all others
    "loggers": {
        name: {"level": "INFO", "handlers": [], "propagate": True}
        for name in ("gunicorn.error", "gunicorn.access")
    }
}
