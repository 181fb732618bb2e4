"""Fields for what an odometer shows, and for a day."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from advisory.register.shown import NotANumber, read_shown


class ShownField(forms.CharField):
    """The number on an odometer, as people write it; cleaned to whole counts, None if empty."""

    widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault(
            "error_messages", {"required": _("Enter the number as the odometer shows it.")}
        )
        super().__init__(**kwargs)

    def clean(self, value: Any) -> Any:
        """Read the number."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return read_shown(text)
        except NotANumber as error:
            raise ValidationError(error.message, code="not_a_number") from error


class PastDateField(forms.DateField):
    """A day, typed or picked."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault(
            "error_messages",
            {
                "required": _("Enter the day."),
                "invalid": _("Write the day as year-month-day, such as 2024-05-31."),
            },
        )
        super().__init__(**kwargs)
