"""Fields for what an odometer shows, for a day, and for a size at the bench."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from advisory.common.fields import QuantityField
from advisory.common.quantities import QuantityError, is_against_nominal, read_size
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


@dataclass(frozen=True)
class AgainstNominal:
    """A size told as so much above or below the nominal one, in metres."""

    offset: float


class SizeField(QuantityField):
    """A size, whole or against nominal; whoever has the nominal size puts the two together."""

    small_unit = "thou"

    def to_python(self, value: Any) -> Any:
        """Read a size in metres, or what it lies above nominal."""
        text = "" if value is None else str(value).strip()
        if not text or not is_against_nominal(text):
            return super().to_python(value)
        try:
            told = read_size(text, unit=self.unit, small_unit=self.small_unit, nominal=0.0)
        except QuantityError as error:
            raise ValidationError(error.message, code=error.code) from error
        return AgainstNominal(told.si)
