"""Waiting for a condition, never for a time."""

import time
from collections.abc import Callable

BETWEEN_TWO_LOOKS = 0.05


def wait_until(condition: Callable[[], bool], *, seconds: float, what: str) -> None:
    """Look again and again until the condition holds; TimeoutError names `what` did not come."""
    deadline = time.monotonic() + seconds
    while not condition():
        if time.monotonic() > deadline:
            raise TimeoutError(f"{what}: not within {seconds:g} seconds.")
        time.sleep(BETWEEN_TWO_LOOKS)  # noqa: TID251
