"""The form for a workshop's old records; the file's text goes along, so that it is chosen once."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from advisory.common.csv_files import DateOrder, FileRefused, decode
from advisory.register.records_csv import LARGEST_TEXT


class RecordsForm(forms.Form):
    """A CSV file, how its days are written, and whether its sheets count as signed."""

    use_required_attribute = False
    file = forms.FileField(label=_("The CSV file"), required=False)
    text = forms.CharField(widget=forms.HiddenInput, required=False, strip=False)
    named = forms.CharField(widget=forms.HiddenInput, required=False, max_length=200)
    dates = forms.ChoiceField(
        label=_("In its days comes first"),
        choices=[("", _("what the file shows")), *DateOrder.choices],
        required=False,
    )
    sign = forms.BooleanField(
        label=_("Sign each sheet as of its day: from then on it stands as it is"), required=False
    )

    def clean(self) -> dict[str, Any]:
        """Take the text out of the file, or the one that came along."""
        data = super().clean() or self.cleaned_data
        file = data.get("file")
        if file is not None:
            try:
                data["text"], data["named"] = decode(file.read()), file.name[:200]
            except FileRefused as error:
                self.add_error("file", error.message)
                return data
        if not data.get("text"):
            raise ValidationError({"file": _("Choose the CSV file.")})
        if len(data["text"]) > LARGEST_TEXT:
            raise ValidationError(
                {"file": _("The file is too long. Split it, and import the parts.")}
            )
        return data

    @property
    def told(self) -> dict[str, str]:
        """What goes along to the next step."""
        data = getattr(self, "cleaned_data", {})
        return {"text": data.get("text", ""), "named": data.get("named", "")}
