"""What an action raises when it refuses."""

from collections.abc import Mapping


class Refused(ValueError):
    """The action was not done, and nothing was saved.

    Parameters
    ----------
    message
        One sentence that says what to do.
    field
        The field the message belongs to, None where it is about the whole.
    code
        A short word for programs; `question` codes can be answered with a confirmation.
    """

    def __init__(self, message: str, *, field: str | None = None, code: str = "invalid") -> None:
        super().__init__(message)
        self.message = message
        self.field = field
        self.code = code

    @property
    def by_field(self) -> Mapping[str, list[str]]:
        """The message as Django forms want it."""
        return {self.field or "__all__": [self.message]}


class Question(Refused):
    """The input may be right but is not believed without a word: ask, and do it when confirmed."""


class NotAllowed(Exception):
    """The acting person may not do this; pages and the API answer it as 'not found'."""
