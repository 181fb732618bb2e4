"""What a line of the log is about: the request or the job in whose course it was written."""

import re
from contextvars import ContextVar
from typing import Final
from uuid import uuid4

#: The number of the request in hand, also in the jobs that it started; empty outside of one.
request_id: Final[ContextVar[str]] = ContextVar("request_id", default="")
#: The job in hand.
job_name: Final[ContextVar[str]] = ContextVar("job_name", default="")

_BELIEVED = re.compile(r"[A-Za-z0-9._-]{8,64}")


def new_request_id() -> str:
    """Return a number that no other request has."""
    return uuid4().hex


def believed(given: str) -> str:
    """Return a number that a proxy gave, where it is one; else a new one."""
    return given if _BELIEVED.fullmatch(given) else new_request_id()
