"""What went wrong, as a problem object (RFC 9457): the same on the command line as in the API."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

#: More errors than this are counted, not listed.
MOST_ERRORS = 50


def writable(text: str) -> str:
    """Put a question mark for half a character of the input, which nothing can write again."""
    return text.encode("utf-8", "replace").decode("utf-8")


@dataclass(frozen=True)
class FieldError:
    """What is wrong with one field, in words, and what would be right.

    `field` is its name, "" where it is about the whole; parts of a field are written
    "temperature[2]" and "measurements[0].value".
    """

    field: str
    message: str
    limit: str | None = None

    def as_dict(self) -> dict[str, Any]:
        """Write it as JSON has it."""
        limit = None if self.limit is None else writable(self.limit)
        return {
            "field": writable(self.field),
            "message": writable(self.message),
            "limit": limit,
        }


@dataclass(frozen=True)
class Problem:
    """A problem object. `type` is an address of ours, relative to the service's own."""

    type: str
    title: str
    status: int
    detail: str
    errors: tuple[FieldError, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Write it as JSON has it."""
        return {
            "type": self.type,
            "title": writable(self.title),
            "status": self.status,
            "detail": writable(self.detail),
            "errors": [error.as_dict() for error in self.errors],
        }


def problem(
    slug: str, title: str, detail: str, *, status: int = 400, errors: Sequence[FieldError] = ()
) -> Problem:
    """Make a problem of our own, with a type that a program can tell from others."""
    return Problem(f"/problems/{slug}", str(title), status, str(detail), tuple(errors))


def bad_input(errors: Sequence[FieldError]) -> Problem:
    """Make the problem for input that can't be used, with what is wrong in each field."""
    listed = tuple(errors[:MOST_ERRORS])
    named = ", ".join(dict.fromkeys(error.field for error in listed if error.field))
    detail = ngettext(
        "%(n)d thing in what was sent can't be used.",
        "%(n)d things in what was sent can't be used.",
        len(errors),
    ) % {"n": len(errors)}
    if named:
        detail += " " + _("Look at: %(fields)s.") % {"fields": named}
    return problem("bad-input", _("The input can't be used"), detail, errors=listed)
