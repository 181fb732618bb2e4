"""Forms of the findings app."""

from collections.abc import Collection
from typing import Any
from uuid import uuid4

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.db.models import QuerySet
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.errors import Question, Refused
from advisory.common.quantities import LENGTH, QuantityError, read_typed
from advisory.findings.actions import LONGEST_TEXT, answer_finding, keep_photos, report_finding
from advisory.findings.marks import DamageMark, marks_at
from advisory.findings.models import Answer, Finding, WaitingPhoto
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.enums import SmallLengthUnit
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.fields import ShownField
from advisory.register.forms.answered import AnsweredForm
from advisory.register.models import Position, Unit

PHOTO_KINDS = "image/jpeg,image/png,image/webp"


class PhotosInput(forms.FileInput):
    """Choose several photos at once."""

    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Any number of photos; how many and which is for the action to say.

    It calls itself required so that nobody is told "if you know it", and yet takes none.
    """

    widget = PhotosInput

    def clean(self, data: Any, initial: Any = None) -> "list[UploadedFile[Any]]":
        """Give what was chosen, nothing as an empty list."""
        given = data if isinstance(data, list | tuple) else [data]
        return [file for file in given if file]


class PositionChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # not at run time
    """The places of a unit, by name and what is there."""

    def label_from_instance(self, position: Position) -> str:
        """Say what is at a place where its name does not."""
        kind = position.get_kind_display()
        return position.name if kind.lower() in position.name.lower() else f"{position} ({kind})"


def mark_choices(kinds: Collection[str] | None = None) -> list[tuple[str, Any]]:
    """Offer none first, then the marks that are seen at positions of these kinds, or all."""
    marks = list(DamageMark) if kinds is None else marks_at(kinds)
    return [("", _("None of these")), *((mark.value, mark.label) for mark in marks)]


class ReportForm(AnsweredForm):
    """What an owner saw; everything typed or chosen is kept when something is refused.

    A figure that is not believed is answered with the tick `confirm`, a reading with a button.
    """

    position = PositionChoice(
        label=gettext_lazy("Where"),
        queryset=Position.objects.none(),
        required=False,
        empty_label=gettext_lazy("Elsewhere, or I can't say"),
    )
    text = forms.CharField(
        label=gettext_lazy("What you saw"),
        help_text=gettext_lazy("As you would tell it on the telephone: what, since when, how bad."),
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 5}),
        error_messages={"required": gettext_lazy("Write what you saw, in your own words.")},
    )
    mark = forms.ChoiceField(
        label=gettext_lazy("What it looks like"),
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": gettext_lazy("Choose a mark from the list, or none.")},
    )
    seen_on = forms.DateField(
        label=gettext_lazy("Seen on"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": gettext_lazy("Write the day as year-month-day, 2024-05-31.")},
    )
    measurement = forms.CharField(
        label=gettext_lazy("Measured there"), required=False, max_length=40
    )
    measurement_unit = forms.ChoiceField(
        label=gettext_lazy("Measured in"), choices=SmallLengthUnit.choices
    )
    confirm = forms.BooleanField(
        label=gettext_lazy("The figure and its unit are right as I typed them"), required=False
    )
    shown = ShownField(
        label=gettext_lazy("Odometer, as it stands there"), required=False, max_length=20
    )
    waiting = forms.ModelMultipleChoiceField(
        label=gettext_lazy("Photos that are here already"),
        help_text=gettext_lazy("They go with it. Untick one to leave it out."),
        queryset=WaitingPhoto.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "invalid_choice": gettext_lazy(
                "A photo is kept for a day, and is gone. Choose it again."
            )
        },
    )
    photo_taken = PhotosField(
        label=gettext_lazy("Take a photo now"),
        widget=PhotosInput(attrs={"accept": PHOTO_KINDS, "capture": "environment"}),
    )
    photos = PhotosField(
        label=gettext_lazy("Or choose photos"),
        help_text=gettext_lazy(
            "Up to six, of 20 MB at most each. They are made smaller, and what they tell of place "
            "and telephone is taken out."
        ),
        widget=PhotosInput(attrs={"accept": PHOTO_KINDS, "multiple": True}),
    )
    client_key = forms.CharField(widget=forms.HiddenInput, max_length=64)
    about = ("seen_on", "shown")

    def __init__(self, *args: Any, unit: Unit, by: Person, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "seen_on": today_of(by),
            "measurement_unit": by.small_length_unit,
            "client_key": uuid4().hex,
        } | kwargs.get("initial", {})
        super().__init__(*args, by=by, **kwargs)
        self.unit = unit
        self.by = by
        # a question was asked of the figure, so its answer is offered
        self.asks = False
        position = self.fields["position"]
        assert isinstance(position, PositionChoice)
        position.queryset = unit.design.positions.all()
        mark = self.fields["mark"]
        assert isinstance(mark, forms.ChoiceField)
        mark.choices = mark_choices()
        waiting = self.fields["waiting"]
        assert isinstance(waiting, forms.ModelMultipleChoiceField)
        waiting.queryset = self._waiting_photos()

    def _waiting_photos(self) -> "QuerySet[WaitingPhoto]":
        """Return the photos that were kept of this very form."""
        key = str(self.data.get("client_key", "")).replace("\x00", "")
        photos = WaitingPhoto.objects.filter(unit=self.unit, client_key=key).exclude(client_key="")
        return rules.scope(self.by, Permission.REPORT_FINDING, photos)

    def clean(self) -> dict[str, Any]:
        """Read the figure in the unit beside it, unless its own is written with it."""
        data = super().clean() or {}
        text, unit = data.get("measurement"), data.get("measurement_unit")
        if text and unit:
            try:
                data["value"] = read_typed(text, LENGTH, unit).si
            except QuantityError as error:
                self.add_error("measurement", error.message)
            data["as_typed"] = text if any(map(str.isalpha, text)) else f"{text} {unit}"
        return data

    def save(self) -> Finding | None:
        """Report it; None where it was refused, with the reason at its field."""
        data = self.cleaned_data
        try:
            return report_finding(
                unit=self.unit,
                by=self.by,
                text=data["text"],
                seen_on=data["seen_on"],
                position=data["position"],
                mark=data["mark"],
                value=data.get("value"),
                as_typed=data.get("as_typed", ""),
                shown=data["shown"],
                photos=self._chosen(),
                waiting=data["waiting"],
                client_key=data["client_key"],
                confirm=data["confirm"],
                confirm_shown=self.confirms,
                went_round=self.went_round,
            )
        except Refused as refused:
            self.refuse(refused)
            return None

    def refuse(self, refusal: Refused) -> None:
        """Say why at its field; a figure is answered with its tick."""
        if refusal.field == "measurement":
            self.asks = isinstance(refusal, Question)
            self.add_error(refusal.field, refusal.message)
        else:
            super().refuse(refusal)

    def keep_photos(self) -> None:
        """Keep what was chosen until the form is put right: browsers don't."""
        chosen, key = self._chosen(), self.cleaned_data.get("client_key")
        if not chosen or not key:
            return
        kept = keep_photos(unit=self.unit, by=self.by, client_key=key, photos=chosen)
        said: list[str] = [*self.errors.get("photos", [])]
        for words in kept.refusals:
            if words not in said:
                self.add_error("photos", words)
        data = QueryDict(mutable=True)
        data.update(self.data)
        data.setlistdefault("waiting").extend(str(photo.pk) for photo in kept.kept)
        self.data = data
        waiting = self.fields["waiting"]
        assert isinstance(waiting, forms.ModelMultipleChoiceField)
        waiting.queryset = self._waiting_photos()

    def _chosen(self) -> "list[UploadedFile[Any]]":
        """Return the files that were sent; an error takes them out of the cleaned data."""
        names = ("photo_taken", "photos")
        return [file for name in names for file in self.files.getlist(name) if file]


class AnswerForm(forms.Form):
    """What the workshop says to a finding."""

    use_required_attribute = False

    text = forms.CharField(
        label=gettext_lazy("Your answer"),
        help_text=gettext_lazy(
            "What it may be, what to do next, and what must not be done until then."
        ),
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 6}),
        error_messages={"required": gettext_lazy("Write the answer that the owner is to read.")},
    )
    client_key = forms.CharField(widget=forms.HiddenInput, max_length=64)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"client_key": uuid4().hex} | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)

    def save(self, *, finding: Finding, by: Person) -> Answer | None:
        """Answer; None where it was refused, with the reason at its field."""
        try:
            return answer_finding(
                finding=finding,
                by=by,
                text=self.cleaned_data["text"],
                client_key=self.cleaned_data["client_key"],
            )
        except Refused as error:
            self.add_error(error.field if error.field in self.fields else None, error.message)
            return None


class StateForm(forms.Form):
    """Which findings the inbox shows; what is no state shows all."""

    ALL = "all"

    state = forms.ChoiceField(label=gettext_lazy("Show"))

    def __init__(self, given: str | None, *, choices: list[tuple[str, Any]]) -> None:
        known = given if given in {value for value, _label in choices} else self.ALL
        super().__init__({"state": known})
        state = self.fields["state"]
        assert isinstance(state, forms.ChoiceField)
        state.choices = [(self.ALL, _("All")), *choices]

    @property
    def chosen(self) -> str:
        """The state to show, "" for all."""
        return "" if self.data["state"] == self.ALL else str(self.data["state"])
