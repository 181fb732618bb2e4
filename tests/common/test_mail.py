"""The folder backend: one message, one file, always whole."""

import email
import email.policy
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.mail import EmailMessage, EmailMultiAlternatives, get_connection

from advisory.common.mail import FolderBackend, file_name


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "mail"


@pytest.fixture
def backend(folder: Path) -> FolderBackend:
    return FolderBackend(file_path=folder)


def message(message_id: str | None = "<a1@advisory.example>") -> EmailMultiAlternatives:
    made = EmailMultiAlternatives(
        "Öl wechseln: 2 of 3",
        "Dear Orla,\n.\nthe oil is due.",
        "advisory@example.com",
        ["orla@example.com"],
        headers={"Message-ID": message_id} if message_id else None,
    )
    made.attach_alternative("<p>the oil is due</p>", "text/html")
    return made


def test_message_is_one_file_that_the_standard_library_reads(
    backend: FolderBackend, folder: Path
) -> None:
    assert backend.send_messages([message()]) == 1
    (path,) = folder.iterdir()
    assert path.name == "a1@advisory.example.eml"
    read = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
    assert read["Subject"] == "Öl wechseln: 2 of 3"
    assert read["To"] == "orla@example.com"
    body = read.get_body(("plain",))
    assert body is not None
    # RFC 5322, 2.3: lines end in CRLF
    assert body.get_content().replace("\r\n", "\n") == "Dear Orla,\n.\nthe oil is due."
    html = read.get_body(("html",))
    assert html is not None
    assert html.get_content() == "<p>the oil is due</p>"


def test_same_message_twice_is_one_file(backend: FolderBackend, folder: Path) -> None:
    backend.send_messages([message()])
    backend.send_messages([message(), message()])
    assert len(list(folder.iterdir())) == 1


def test_messages_without_an_id_get_one_each(backend: FolderBackend, folder: Path) -> None:
    assert backend.send_messages([message(None), message(None)]) == 2
    assert len(list(folder.iterdir())) == 2


def test_message_to_nobody_is_not_written(backend: FolderBackend, folder: Path) -> None:
    assert backend.send_messages([EmailMessage("s", "b", "a@example.com", [])]) == 0
    assert not folder.exists()


def test_failure_leaves_neither_half_a_file_nor_a_changed_one(
    backend: FolderBackend, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    backend.send_messages([message()])
    before = {path: path.read_bytes() for path in folder.iterdir()}

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("advisory.common.mail.os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        backend.send_messages([message()])
    assert {path: path.read_bytes() for path in folder.iterdir()} == before


def test_failure_is_silent_when_asked(folder: Path) -> None:
    folder.write_text("a file where the folder should be")
    assert FolderBackend(fail_silently=True, file_path=folder).send_messages([message()]) == 0


@pytest.mark.parametrize(
    "message_id",
    ["<../../etc/passwd@x>", "<a/b@x>", "<.@x>", "<..>", "<>", f"<{'long' * 80}@x>", "<ä\\b:c@x>"],
)
def test_file_name_never_leads_out_of_the_folder(message_id: str) -> None:
    name = file_name(message_id)
    assert Path(name).name == name
    assert not name.startswith(".")
    assert len(name.encode()) <= 255


def test_different_ids_have_different_names() -> None:
    ids = ["<a/b@x>", "<a%2Fb@x>", "<a b@x>", "<ab@x>", "<A@x>", "<a@x>", "<..>", "<.>"]
    assert len({file_name(message_id) for message_id in ids}) == len(ids)


def test_no_folder_is_said_clearly(settings: object) -> None:
    settings.EMAIL_FILE_PATH = None  # type: ignore[attr-defined]
    with pytest.raises(ImproperlyConfigured, match="EMAIL_FILE_PATH"):
        FolderBackend()


def test_backend_is_the_one_the_settings_name(folder: Path) -> None:
    backend = get_connection("advisory.common.mail.FolderBackend", file_path=folder)
    assert backend.send_messages([message()]) == 1
