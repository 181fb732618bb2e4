"""How the tests ask a calculator: by the command, as a person or a script would."""

import io
import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.core.management import call_command


@contextmanager
def standard_input(given: bytes) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(given)))
        yield


def told(*arguments: str, given: bytes = b"") -> tuple[str, int]:
    """Run the command; what it printed, and its exit status."""
    out = io.StringIO()
    status = 0
    with standard_input(given):
        try:
            call_command("calculate", *arguments, stdout=out)
        except SystemExit as end:
            status = int(end.code or 0)
    return out.getvalue(), status


def asked(name: str, payload: object) -> tuple[Any, int]:
    """Ask a calculator; the JSON of its answer, and the exit status."""
    printed, status = told(name, given=json.dumps(payload).encode())
    return json.loads(printed), status


def answer(name: str, payload: object) -> Any:
    """Ask a calculator what it must be able to answer."""
    given, status = asked(name, payload)
    assert status == 0, given
    return given


def refusal(name: str, payload: object) -> dict[str, dict[str, Any]]:
    """Ask a calculator what it must refuse; the errors by their fields."""
    given, status = asked(name, payload)
    assert status == 1
    assert set(given) == {"type", "title", "status", "detail", "errors"}
    assert given["status"] == 400
    return {error["field"]: error for error in given["errors"]}


def value(quantity: dict[str, Any], unit: str) -> float:
    """Return the value of a quantity that must be in a unit."""
    assert quantity["unit"] == unit
    return float(quantity["value"])
