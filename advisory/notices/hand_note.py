"""A note on this machine's disk of a mail that is being handed to the mail server.

Between the server's yes and the mark on the mail's row lie a statement and its commit, in which a
worker may be killed or the database be away. The note bridges that: it is written before the
letter goes, and one byte of it is turned as soon as the server has said yes. Over SMTP that is done
by the process that speaks with the server (`common/courier.py`), which goes on to the end of its
letter when its worker is killed. What is written to a file outlives the process at once. Who takes
the mail up afterwards finds the note and marks the row instead of sending again. While a mail is
handed over a lock lies on the note, held by the worker and by that process, so that nobody else on
this machine hands over the same, whatever the clock says.

What remains: that process itself killed between the yes and the byte, a mail server's answer lost
on its way, a machine that loses its power in these moments, and a second machine without the same
ADVISORY_DATA.
"""

import fcntl
import json
import os
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any

from django.conf import settings

from advisory.common.smtp import Receipt

HANDING, TAKEN = b"?", b"+"
# Longer than a mail that fails again and again is tried.
KEPT_FOR = timedelta(days=14)


class Busy(Exception):
    """Another process hands this mail over at this moment."""


class HandNote:
    """The note of one mail, held by this process alone."""

    def __init__(self, descriptor: int, path: Path) -> None:
        self._descriptor = descriptor
        self._path = path
        self.found = os.read(descriptor, 10_000_000)

    @property
    def taken(self) -> dict[str, Any] | None:
        """What was noted of a mail that the server took; None where it is not known to have."""
        if not self.found.startswith(TAKEN):
            return None
        try:
            told: dict[str, Any] = json.loads(self.found[1:])
        except ValueError:
            return {}
        return told

    def write(self, told: Mapping[str, Any]) -> None:
        """Note what is about to go."""
        os.ftruncate(self._descriptor, 0)
        os.pwrite(self._descriptor, HANDING + json.dumps(told).encode(), 0)

    @property
    def receipt(self) -> Receipt:
        """What goes with the letter, so that whoever hears the yes notes it."""
        return Receipt(self._descriptor, TAKEN)

    def says_taken(self) -> bool:
        """Whether it says by now that the server took the mail."""
        return os.pread(self._descriptor, len(TAKEN), 0) == TAKEN

    def mark_taken(self) -> None:
        """Note that the server took it: one byte, whole or not at all."""
        os.pwrite(self._descriptor, TAKEN, 0)

    def forget(self) -> None:
        """Drop the note: the row says it."""
        with suppress(FileNotFoundError):
            self._path.unlink()


def note_path(message_id: str) -> Path:
    """Return where the note of a mail lies."""
    folder = Path(settings.HAND_NOTES)
    return folder / sha256(message_id.encode()).hexdigest()[:40]


def drop_old_notes() -> None:
    """Drop notes that nobody asks for any more: their worker died after it marked the row."""
    folder = Path(settings.HAND_NOTES)
    oldest = time.time() - KEPT_FOR.total_seconds()
    for path in folder.glob("*"):
        with suppress(FileNotFoundError):
            if path.stat().st_mtime < oldest:
                path.unlink()


@contextmanager
def hand_note(message_id: str) -> Iterator[HandNote]:
    """Give a mail's note, held until the end; Busy where another process holds it."""
    path = note_path(message_id)
    descriptor = _held(path)
    try:
        yield HandNote(descriptor, path)
    finally:
        os.close(descriptor)


def _held(path: Path) -> int:
    """Open and lock the file that lies at the path now: it may be dropped in between."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    while True:
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(descriptor)
            raise Busy from None
        with suppress(FileNotFoundError):
            if path.stat().st_ino == os.fstat(descriptor).st_ino:
                return descriptor
        os.close(descriptor)
