"""An e-mail backend that puts each message into a folder as one .eml file."""

import hashlib
import os
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend

# A file name has 255 bytes on the usual file systems; what is longer is named by its digest.
LONGEST_NAME = 200


class FolderBackend(BaseEmailBackend):
    """Write messages into EMAIL_FILE_PATH, each named by its Message-ID.

    A message that is sent twice (a worker died after writing it and before noting so) is the same
    file written twice. A file is put in place whole, so that a reader never sees half of one.
    """

    def __init__(self, fail_silently: bool = False, **kwargs: Any) -> None:
        super().__init__(fail_silently=fail_silently, **kwargs)
        path = kwargs.get("file_path") or getattr(settings, "EMAIL_FILE_PATH", None)
        if not path:
            raise ImproperlyConfigured("Set EMAIL_FILE_PATH to the folder that takes the mail.")
        self.folder = Path(path)

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        """Write the messages; return how many were written."""
        written = 0
        for message in email_messages:
            if not message.recipients():
                continue
            try:
                self._write(message)
            except OSError:
                if not self.fail_silently:
                    raise
            else:
                written += 1
        return written

    def _write(self, message: EmailMessage) -> None:
        made = message.message()
        self.folder.mkdir(parents=True, exist_ok=True)
        descriptor, temporary = tempfile.mkstemp(dir=self.folder, prefix=".", suffix=".part")
        try:
            with os.fdopen(descriptor, "wb") as file:
                # linesep is an argument of Django's messages, which the stubs call plain ones
                file.write(made.as_bytes(linesep="\r\n"))  # type: ignore[call-arg]
                file.flush()
                os.fsync(file.fileno())
            Path(temporary).replace(self.folder / file_name(str(made["Message-ID"])))
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise


def file_name(message_id: str) -> str:
    """Return the file name for a Message-ID: nothing in it leads out of the folder."""
    name = quote(message_id.strip().removeprefix("<").removesuffix(">"), safe="@+=")
    if name.startswith(".") or len(name) > LONGEST_NAME or not name:
        name = hashlib.sha256(message_id.encode()).hexdigest()
    return f"{name}.eml"
