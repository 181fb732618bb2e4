"""Forms for cars."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.common.fields import QuantityField
from advisory.common.quantities import LENGTH
from advisory.people.enums import DistanceUnit
from advisory.people.models import Person
from advisory.register.enums import Roads
from advisory.register.fields import ShownField
from advisory.register.forms.answered import AnsweredForm

# How often a car is driven too short to warm the oil through, as shares that one can tell by heart.
SHORT_RUNS = (("0", _("Hardly ever")), ("0.25", _("Now and then")), ("0.6", _("Mostly")))


def digits_field(**kwargs: Any) -> forms.IntegerField:
    """Return a field for the number of an odometer's figures."""
    return forms.IntegerField(
        label=_("Its whole figures"),
        help_text=_("Without the tenths. Most have five."),
        min_value=3,
        max_value=7,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": _("Count the whole figures, without the tenths.")},
        **kwargs,
    )


class CarForm(AnsweredForm):
    """What is said of a car and how it is used."""

    maker = forms.CharField(
        label=_("Maker"), max_length=80, error_messages={"required": _("Say who made the car.")}
    )
    model = forms.CharField(label=_("Model"), max_length=80, required=False)
    year = forms.IntegerField(
        label=_("Year"),
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": _("Enter the year with four figures, or leave it empty.")},
    )
    roads = forms.ChoiceField(
        label=_("Driven on"), choices=Roads.choices, widget=forms.RadioSelect, initial=Roads.SEALED
    )
    short_run_share = forms.ChoiceField(
        label=_("Runs too short to warm the oil through"),
        choices=SHORT_RUNS,
        widget=forms.RadioSelect,
        initial="0",
    )
    expected_annual_distance = QuantityField(
        label=_("In a year, about"),
        dimension=LENGTH,
        unit="mile",
        required=False,
        help_text=_("Your guess, until there are readings. Leave it empty if you cannot say."),
    )

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, by=by, **kwargs)
        annual, runs = self.fields["expected_annual_distance"], self.fields["short_run_share"]
        assert isinstance(annual, QuantityField)
        annual.unit = by.distance_unit
        self.annual_unit = annual.unit_words
        assert isinstance(runs, forms.ChoiceField)
        share = self.initial.get("short_run_share")
        if isinstance(share, float):
            nearest = min(SHORT_RUNS, key=lambda choice: abs(float(choice[0]) - share))[0]
            if abs(float(nearest) - share) > 1e-9:
                # a share that a program told stays what it is unless the person chooses another
                told = f"{share:g}"
                runs.choices = [*SHORT_RUNS, (told, _("%(share)d %%") % {"share": share * 100})]
                nearest = told
            self.initial["short_run_share"] = nearest

    def clean_short_run_share(self) -> float:
        """Return the share as a number."""
        return float(self.cleaned_data["short_run_share"])


class NewCarForm(CarForm):
    """A car with its odometer."""

    odometer_unit = forms.ChoiceField(
        label=_("The odometer counts"), choices=DistanceUnit.choices, widget=forms.RadioSelect
    )
    odometer_digits = digits_field(initial=5)
    shown = ShownField(
        label=_("It shows today"),
        required=False,
        help_text=_("Leave it empty if you cannot look now."),
    )

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, by=by, **kwargs)
        self.initial.setdefault("odometer_unit", by.distance_unit)
