"""Forms for units and their stays in cars."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from advisory.people import rules
from advisory.people.enums import DistanceUnit
from advisory.people.forms import RefusableForm
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.register.actions import CarData
from advisory.register.enums import LeftFor
from advisory.register.fields import PastDateField, ShownField
from advisory.register.forms.answered import AnsweredForm
from advisory.register.forms.cars import digits_field
from advisory.register.models import Car, Design, Fitting
from advisory.register.queries import designs_for

NEW_CAR = "new"


class UnitForm(RefusableForm):
    """What a unit is called."""

    name = forms.CharField(
        label=_("Name"), max_length=120, required=False, help_text=_("As you call it.")
    )
    serial = forms.CharField(label=_("Serial number"), max_length=60, required=False)


class WorkshopUnitForm(UnitForm):
    """A unit on a workshop's books."""

    design = forms.ModelChoiceField(
        label=_("Design"), queryset=Design.objects.none(), empty_label=_("Choose one")
    )
    field_order = ("design", "serial", "name")

    def __init__(self, *args: Any, by: Person, workshop: Organisation, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["design"]
        assert isinstance(field, forms.ModelChoiceField)
        shared = Design.objects.filter(workshop=None)
        field.queryset = designs_for(by) & (shared | Design.objects.filter(workshop=workshop))


class CarPartForm(AnsweredForm):
    """The car that a unit is in: one of one's own, or another that is told with it."""

    car = forms.ChoiceField(label=_("It is in"), widget=forms.RadioSelect, required=False)
    maker = forms.CharField(
        label=_("Maker of the car"),
        max_length=80,
        error_messages={"required": _("Say who made the car.")},
    )
    model = forms.CharField(label=_("Model"), max_length=80, required=False)
    year = forms.IntegerField(
        label=_("Year"),
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": _("Enter the year with four figures, or leave it empty.")},
    )
    odometer_unit = forms.ChoiceField(
        label=_("The odometer counts"), choices=DistanceUnit.choices, widget=forms.RadioSelect
    )
    odometer_digits = digits_field(initial=5)

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, by=by, **kwargs)
        self.initial.setdefault("odometer_unit", by.distance_unit)
        car = self.fields["car"]
        assert isinstance(car, forms.ChoiceField)
        self.cars = {str(row.pk): row for row in Car.objects.filter(owner=by)}
        self.car_choices: list[tuple[str, Any]] = [
            *((key, str(row)) for key, row in self.cars.items()),
            (NEW_CAR, _("Another car")),
        ]
        car.choices = self.car_choices
        self.initial.setdefault("car", next(iter(self.cars), NEW_CAR))
        car.required = self.has_cars
        self.fields["maker"].required = not self.has_cars

    @property
    def has_cars(self) -> bool:
        """Whether there is a car to choose."""
        return bool(self.cars)

    def clean(self) -> dict[str, Any]:
        """Ask for the maker only of a car that isn't in the register yet."""
        data = super().clean() or self.cleaned_data
        another = self.has_cars and data.get("car") == NEW_CAR
        if another and not data.get("maker", "").strip():
            self.add_error("maker", ValidationError(_("Say who made the car.")))
        return data

    @property
    def chosen_car(self) -> Car | CarData:
        """The car that was chosen, or what is told of another."""
        data = self.cleaned_data
        if data["car"] in self.cars:
            return self.cars[data["car"]]
        return CarData(
            maker=data["maker"],
            model=data["model"],
            year=data["year"],
            odometer_unit=data["odometer_unit"],
            odometer_digits=data["odometer_digits"],
        )


class StartForm(CarPartForm):
    """The first evening of an owner without a workshop: the unit, its car, the odometer."""

    design = forms.ModelChoiceField(
        label=_("What is it?"),
        queryset=Design.objects.none(),
        widget=forms.RadioSelect,
        empty_label=None,
        error_messages={"required": _("Choose what comes nearest.")},
    )
    name = forms.CharField(
        label=_("Name"),
        max_length=120,
        required=False,
        help_text=_("As you call it, if you have several."),
    )
    serial = forms.CharField(
        label=_("Serial number"), max_length=60, required=False, help_text=_("If it bears one.")
    )
    shown = ShownField(
        label=_("The odometer shows today"),
        required=False,
        help_text=_("Leave it empty if you cannot look now."),
    )
    fitted_on = PastDateField(
        label=_("In this car since"),
        required=False,
        help_text=_("Leave it empty if it is not known: then it counts from today."),
    )
    oil = forms.ChoiceField(
        label=_("Which oil is in it, how much, and what filter there is"),
        choices=[
            ("known", _("I know some of it: ask me next")),
            ("unknown", _("Not known: take the careful side")),
        ],
        widget=forms.RadioSelect,
        initial="unknown",
    )

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, by=by, **kwargs)
        design = self.fields["design"]
        assert isinstance(design, forms.ModelChoiceField)
        design.queryset = designs_for(by).filter(workshop=None).order_by("pk")


class FitForm(AnsweredForm):
    """A unit is put into a car."""

    car = forms.ModelChoiceField(
        label=_("Into"), queryset=Car.objects.none(), empty_label=_("Choose one")
    )
    date = PastDateField(label=_("On"))
    shown = ShownField(
        label=_("The odometer showed"),
        required=False,
        help_text=_("Leave it empty if nobody looked."),
    )

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, by=by, **kwargs)
        field = self.fields["car"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = rules.scope(by, Permission.CHANGE_UNIT, Car.objects.all())


class RemoveForm(AnsweredForm):
    """A unit is taken out of its car: into another, to the workshop, out of service."""

    goes = forms.ChoiceField(label=_("Where does it go?"), widget=forms.RadioSelect, required=False)
    date = PastDateField(label=_("Taken out on"))
    shown = ShownField(
        label=_("The odometer showed"),
        required=False,
        help_text=_("Leave it empty if nobody looked."),
    )
    shown_there = ShownField(
        label=_("That of the other car showed"),
        required=False,
        help_text=_("Only if it goes into another car."),
    )
    about = ("date", "shown", "shown_there")

    def __init__(self, *args: Any, by: Person, fitting: Fitting, **kwargs: Any) -> None:
        super().__init__(*args, by=by, **kwargs)
        cars = rules.scope(by, Permission.CHANGE_UNIT, Car.objects.exclude(pk=fitting.car_id))
        self.cars = {str(row.pk): row for row in cars}
        goes = self.fields["goes"]
        assert isinstance(goes, forms.ChoiceField)
        goes.choices = [
            *((key, _now("Into %(car)s") % {"car": row}) for key, row in self.cars.items()),
            *LeftFor.choices,
            ("", _("Only out, for now")),
        ]

    @property
    def into(self) -> Car | None:
        """The car that it goes into."""
        return self.cars.get(self.cleaned_data["goes"])
