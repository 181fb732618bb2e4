"""The order in which a unit comes apart, a row a step."""

from typing import TYPE_CHECKING, cast

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.register.actions import StepData

MOST_STEPS = 60


def _words(label: object) -> forms.CharField:
    return forms.CharField(
        label=label,  # type: ignore[arg-type]
        max_length=400,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class StepForm(forms.Form):
    """One step; a row that is left empty is none."""

    text = _words(_("What is done"))
    otherwise = _words(_("What goes wrong when it is done otherwise"))
    caution = _words(_("Caution"))
    use_required_attribute = False

    @property
    def is_row(self) -> bool:
        """Whether anything was typed into the row."""
        return any(value.strip() for value in self.cleaned_data.values())

    @property
    def step(self) -> StepData:
        """What was typed."""
        return StepData(**self.cleaned_data)


if TYPE_CHECKING:
    StepForms = forms.BaseFormSet[StepForm]
else:
    StepForms = forms.BaseFormSet  # takes its parameter in the stubs only


class BaseStepFormSet(StepForms):
    """The steps of a design."""

    @property
    def rows(self) -> list[StepForm]:
        """The rows that were filled in, in their order."""
        return [form for form in self.forms if form.is_row]


def step_rows(empty: int) -> "type[BaseStepFormSet]":
    """Return the class of a set of steps with so many empty ones behind those that are there."""
    return cast(
        "type[BaseStepFormSet]",
        forms.formset_factory(
            StepForm,
            formset=BaseStepFormSet,
            extra=empty,
            max_num=MOST_STEPS,
            absolute_max=MOST_STEPS + 20,
        ),
    )
