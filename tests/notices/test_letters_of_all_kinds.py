"""Each kind of mail has who writes it: a kind without would only show when one is sent."""

from advisory.notices.enums import MailKind
from advisory.notices.letters import WRITERS


def test_each_kind_of_mail_has_its_writer() -> None:
    assert set(WRITERS) == set(MailKind)
