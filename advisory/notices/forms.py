"""Forms of the notices app."""

from django import forms
from django.utils.translation import gettext_lazy


class PreferenceForm(forms.Form):
    """Which mails a person wants."""

    reminders_by_mail = forms.BooleanField(
        label=gettext_lazy("Reminders of what my units need"),
        help_text=gettext_lazy(
            "At most one mail for all of them at a time, between seven in the morning and nine in "
            "the evening; none while a car is laid up, but for the lay-up itself."
        ),
        required=False,
    )
    findings_by_mail = forms.BooleanField(
        label=gettext_lazy("Findings and the answers to them"),
        required=False,
    )
