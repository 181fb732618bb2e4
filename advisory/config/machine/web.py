"""gunicorn's settings in the embedded set-up."""

import ctypes
import signal
import sys
from typing import Any

from advisory.config.machine.tied import PR_SET_PDEATHSIG

worker_class = "gthread"
# One process: SQLite has one writer, and the cache of a process without a broker is its own.
workers = 1
threads = 8
graceful_timeout = 5
# the service writes a line a request itself, without what names a person
accesslog = None
control_socket_disable = True


def post_fork(_server: Any, _worker: Any) -> None:
    """Tie the process that answers to the one that started it."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGKILL, 0, 0, 0)
