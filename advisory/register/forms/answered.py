"""Forms whose action may ask back."""

from typing import Any

from django import forms

from advisory.common.errors import Question, Refused
from advisory.people.clock import today_of
from advisory.people.forms import RefusableForm
from advisory.people.models import Person


class AnsweredForm(RefusableForm):
    """A form whose action may ask about a number: the answer counts for what was asked about only.

    The page offers the answers as buttons named `answer`; `asked` carries what they answer.
    """

    answer = forms.CharField(required=False, widget=forms.HiddenInput)
    asked = forms.CharField(required=False, widget=forms.HiddenInput)
    about: tuple[str, ...] = ("date", "shown")

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        kwargs["initial"] = {"date": today_of(by), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        self.question: Question | None = None
        self.asked_about = ""

    @property
    def subject(self) -> str:
        """What an answer would be about: the values as they were read."""
        return "|".join(str(self.cleaned_data.get(name, "")) for name in self.about)

    @property
    def answered(self) -> str:
        """The answer given to the question about these very values; empty without one."""
        if self.cleaned_data.get("asked") != self.subject:
            return ""
        return str(self.cleaned_data.get("answer", ""))

    @property
    def confirms(self) -> bool:
        """Whether the person said that it is right."""
        return self.answered == "right"

    @property
    def went_round(self) -> bool:
        """Whether the person said that the instrument has gone past its last number."""
        return self.answered == "went-round"

    def refuse(self, refusal: Refused) -> None:
        """Say why at its field; keep a question, for the page to offer the answers."""
        if isinstance(refusal, Question):
            # now, before the error takes the values away
            self.question, self.asked_about = refusal, self.subject
        super().refuse(refusal)
