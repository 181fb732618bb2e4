"""Which designs and years a report is asked for."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.reports.enums import Period
from advisory.reports.figures import ALL
from advisory.reports.shown.words import choice_words


class ChoiceForm(forms.Form):
    """The choices that a report offers; anything else that is asked for means all."""

    designs = forms.ChoiceField(label=_("Designs"), required=False)
    years = forms.ChoiceField(label=_("Years"), choices=Period.choices, required=False)

    def __init__(self, *args: Any, about: Mapping[str, Any], **kwargs: Any) -> None:
        """Offer the designs that the report tells of."""
        super().__init__(*args, **kwargs)
        self.offered = {each["key"]: each for each in about.get("choices", [])}
        field = self.fields["designs"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(key, choice_words(each)) for key, each in self.offered.items()]

    @classmethod
    def of(cls, asked: Mapping[str, Any], about: Mapping[str, Any]) -> "ChoiceForm":
        """Fill the form with what is asked for, all designs and years where nothing is."""
        form = cls(
            {"designs": asked.get("designs", ALL), "years": asked.get("years", Period.ALL.value)},
            about=about,
        )
        form.is_valid()
        return form

    @property
    def choice(self) -> Mapping[str, str]:
        """The designs chosen."""
        key = self.cleaned_data.get("designs") or ALL
        chosen: Mapping[str, str] = self.offered.get(key, {"key": ALL, "label": ""})
        return chosen

    @property
    def period(self) -> Period:
        """The years chosen."""
        return Period(self.cleaned_data.get("years") or Period.ALL)

    @property
    def code(self) -> str:
        """Both in one word, as parts of a report are called."""
        return f"{self.choice['key']}.{self.period.value}"


class YearsForm(forms.Form):
    """Over which years findings are counted; anything else that is asked for means all."""

    years = forms.ChoiceField(label=_("Years"), choices=Period.choices, required=False)

    @classmethod
    def of(cls, asked: Mapping[str, Any]) -> "YearsForm":
        """Fill the form with what is asked for."""
        years = asked.get("years", "")
        form = cls({"years": years if years in Period else Period.ALL.value})
        form.is_valid()
        return form

    @property
    def period(self) -> Period:
        """The years chosen."""
        return Period(self.cleaned_data["years"])
