"""The log as JSON, one object a line, without personal data.

What is taken out: addresses of mail, and those parts of a path that open something (the links of a
mail, a calendar's address, an invitation); the values that a database names in its complaints.
The standard library alone, for the web server is set up with it before Django is.
"""

import json
import logging
import re
from datetime import UTC, datetime

from advisory.common import trace

_ADDRESS = re.compile(r"[^\s@<>\"'(),;:=\[\]{}]+@[^\s@<>\"'(),;:=\[\]{}]+")
# What opens something has sixteen signs or more; words of a path are shorter.
_SECRET_PART = re.compile(r"(?<=/)[A-Za-z0-9_:.~%-]{16,}(?=[/?\s\"'.]|$)")
_QUERY = re.compile(r"(/[^\s\"'?]*)\?[^\s\"']*")
# PostgreSQL: Key (email)=(somebody@example.com) already exists; Failing row contains (...).
_KEY = re.compile(r"(Key \([^)]*\)=|Failing row contains )\(.*\)")
_FIELDS = frozenset({"method", "route", "status", "milliseconds"})


def without_persons(text: str) -> str:
    """Return a text of the log without what names a person or opens what is theirs."""
    text = _KEY.sub(r"\1(...)", text)
    text = _ADDRESS.sub("(address)", text)
    text = _QUERY.sub(r"\1?...", text)
    return _SECRET_PART.sub("...", text)


class JsonLines(logging.Formatter):
    """Writes a record as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line: dict[str, object] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": without_persons(record.getMessage()),
            "process": record.process,
        }
        if number := trace.request_id.get():
            line["request_id"] = number
        if name := trace.job_name.get():
            line["job"] = name
        line |= {name: record.__dict__[name] for name in _FIELDS if name in record.__dict__}
        if record.exc_info and record.exc_info[0] is not None:
            line["error"] = without_persons(self.formatException(record.exc_info))
        return json.dumps(line, ensure_ascii=False)


def logging_settings(form: str, level: str) -> dict[str, object]:
    """Return what `logging.config.dictConfig` takes: all to stderr, in one form."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {
            "json": {"()": "advisory.config.watch.log_lines.JsonLines"},
            "text": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"},
        },
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": form}},
        "root": {"handlers": ["stderr"], "level": level},
    }
