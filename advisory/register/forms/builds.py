"""Forms around a build sheet; what stands on it is read place by place (`sheet_reading.py`)."""

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.people.forms import RefusableForm
from advisory.register.fields import PastDateField


class NewBuildForm(RefusableForm):
    """The head of a sheet that is begun."""

    built_on = PastDateField(label=_("Built on"))
    new_white_metal = forms.BooleanField(
        label=_("The white metal is new, so it is run in"), required=False
    )
    notes = forms.CharField(
        label=_("Notes"), required=False, widget=forms.Textarea(attrs={"rows": 3})
    )


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
