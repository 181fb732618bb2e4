"""Photos on a form: what was chosen is kept until the form is put right, for browsers don't."""

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.db.models import QuerySet
from django.http import QueryDict
from django.utils.translation import gettext_lazy

from advisory.findings.actions import keep_photos
from advisory.findings.models import Finding, WaitingPhoto
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Unit

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


class PhotosForm(forms.Form):
    """A form about a unit that takes photos; call `begin_photos` once its fields stand."""

    unit: Unit
    by: Person
    # what a workshop answers with it; None where it is the owner's
    answers: Finding | None = None

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

    def begin_photos(self, unit: Unit, by: Person) -> None:
        """Offer what is here already of this very form."""
        self.unit, self.by = unit, by
        field = self.fields["waiting"]
        assert isinstance(field, forms.ModelMultipleChoiceField)
        field.queryset = self._waiting_photos()

    def _waiting_photos(self) -> "QuerySet[WaitingPhoto]":
        """Return the photos that were kept of this very form."""
        key = str(self.data.get("client_key", "")).replace("\x00", "")
        photos = WaitingPhoto.objects.filter(unit=self.unit, client_key=key).exclude(client_key="")
        return rules.scope(self.by, Permission.REPORT_FINDING, photos)

    def keep_photos(self) -> None:
        """Keep what was chosen until the form is put right: browsers don't."""
        chosen, key = self.chosen_photos, self.cleaned_data.get("client_key")
        if not chosen or not key:
            return
        kept = keep_photos(
            unit=self.unit, by=self.by, client_key=key, photos=chosen, answered=self.answers
        )
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

    @property
    def chosen_photos(self) -> "list[UploadedFile[Any]]":
        """Return the files that were sent; an error takes them out of the cleaned data."""
        names = ("photo_taken", "photos")
        return [file for name in names for file in self.files.getlist(name) if file]
