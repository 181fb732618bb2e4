"""Forms around a build sheet; what stands on it is read place by place (`sheet_reading.py`)."""

from typing import Any

from django import forms
from django.core.files.base import File
from django.utils.translation import gettext_lazy as _

from advisory.people.forms import RefusableForm
from advisory.register.fields import PastDateField
from advisory.register.models import Build, Design, Position
from advisory.register.sheet import design_of


class NewBuildForm(RefusableForm):
    """The head of a sheet that is begun."""

    built_on = PastDateField(label=_("Built on"))
    new_white_metal = forms.BooleanField(
        label=_("The white metal is new, so it is run in"), required=False
    )
    notes = forms.CharField(
        label=_("Notes"), required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    to_newest = forms.BooleanField(required=False, initial=True)

    def __init__(self, *args: Any, newer: Design | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if newer is None:
            del self.fields["to_newest"]
        else:
            self.fields["to_newest"].label = _("Build it to version %(n)d of its design") % {
                "n": newer.version
            }


class CorrectForm(RefusableForm):
    """Why a signed sheet is put right."""

    reason = forms.CharField(
        label=_("What is wrong on it, and why"),
        help_text=_("It stands on the new revision for good."),
        max_length=300,
        error_messages={"required": _("Say what is wrong on the signed sheet, and why.")},
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class PracticeForm(RefusableForm):
    """How a workshop signs its sheets."""

    second_look = forms.BooleanField(
        label=_("Somebody else looks through a sheet before it is signed"), required=False
    )


class PhotosInput(forms.ClearableFileInput):
    """A choice of several files."""

    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Photos, one or several; each is read by the action that keeps it."""

    widget = PhotosInput

    def clean(self, data: Any, initial: Any = None) -> "list[File[bytes]]":
        """Return the files."""
        files = data if isinstance(data, list | tuple) else [data]
        return [super(PhotosField, self).clean(one, initial) for one in files]


class PhotosForm(RefusableForm):
    """Photos for a sheet, and what they show."""

    photos = PhotosField(
        label=_("Photos"),
        help_text=_("Made smaller and without their place and time; the originals are not kept."),
        error_messages={"required": _("Choose a photo first.")},
        widget=PhotosInput(attrs={"accept": "image/jpeg,image/png,image/webp", "multiple": True}),
    )
    position = forms.ModelChoiceField(
        label=_("Of"), queryset=Position.objects.none(), required=False,
        empty_label=_("the whole unit"),
    )  # fmt: skip
    words = forms.CharField(label=_("What is to be seen"), max_length=120, required=False)

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["position"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = design_of(build).positions.all()
