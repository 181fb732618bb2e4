"""Forms for offering a unit and for claiming it."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from advisory.people.forms import RefusableForm
from advisory.people.models import Organisation, Person
from advisory.register.claim_code import LENGTH, tidy
from advisory.register.fields import PastDateField, ShownField
from advisory.register.forms.units import NEW_CAR, CarPartForm
from advisory.register.models import Design, Fitting, HandOver, Unit

BY_LETTER, BY_TAG, TO_WORKSHOP = "letter", "tag", "workshop"
NO_CAR = "none"


class OfferForm(RefusableForm):
    """To whom a unit goes: by letter to an address, or to whoever holds its tag."""

    how = forms.ChoiceField(
        label=_("How"),
        choices=[
            (BY_TAG, _("With a printed tag: whoever holds it can claim the unit")),
            (BY_LETTER, _("By letter to an e-mail address: only its owner can claim it")),
        ],
        widget=forms.RadioSelect,
        initial=BY_TAG,
    )
    email = forms.EmailField(
        label=_("The new owner's e-mail address"),
        required=False,
        help_text=_("Only for a letter."),
        error_messages={"invalid": _("Enter the whole address, such as name@example.org.")},
    )
    with_car = forms.BooleanField(required=False)
    consents = forms.BooleanField(
        label=_("That workshop may see how it is used and what I measured, until I take it back"),
        required=False,
        initial=True,
    )

    def __init__(self, *args: Any, unit: Unit, stay: Fitting | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        how = self.fields["how"]
        assert isinstance(how, forms.ChoiceField)
        if unit.owner_id is not None and unit.workshop_id is None:
            words = _("To a workshop that takes it on: it stays mine, and they type the code")
            how.choices = [*self.base_choices(), (TO_WORKSHOP, words)]
        else:
            del self.fields["consents"]
        if stay is None:
            del self.fields["with_car"]
        else:
            self.fields["with_car"].label = _(
                "%(car)s is sold with it, with all of mine that is in it"
            ) % {"car": stay.car}

    @classmethod
    def base_choices(cls) -> list[tuple[str, Any]]:
        """Return the ways that are always open."""
        how = cls.base_fields["how"]
        assert isinstance(how, forms.ChoiceField)
        return list(how.choices)  # type: ignore[arg-type]  # plain pairs, as declared above

    def clean(self) -> dict[str, Any]:
        """Ask for the address where a letter is to go."""
        data = super().clean() or self.cleaned_data
        if data.get("how") == BY_LETTER and not data.get("email") and "email" not in self.errors:
            self.add_error(
                "email", ValidationError(_("Enter the address that the letter goes to."))
            )
        return data

    @property
    def offered(self) -> dict[str, Any]:
        """What the action is told."""
        data = self.cleaned_data
        to_workshop = data["how"] == TO_WORKSHOP
        return {
            "email": data["email"] if data["how"] == BY_LETTER else "",
            "with_car": data.get("with_car", False) and not to_workshop,
            "for_workshop": to_workshop,
            "consents": to_workshop and data.get("consents", False),
        }


class CodeForm(forms.Form):
    """The code of a tag."""

    use_required_attribute = False
    code = forms.CharField(
        label=_("The code on the tag"),
        max_length=40,
        help_text=_("Twelve signs; blanks, dashes and small letters don't matter."),
        error_messages={"required": _("Type the twelve signs that stand under the square.")},
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )

    def clean_code(self) -> str:
        """Refuse what can't be a code before anything is looked up."""
        code = tidy(self.cleaned_data["code"])
        if len(code) != LENGTH:
            raise ValidationError(
                _("A code has twelve signs; this has %(n)s."), params={"n": len(code)}
            )
        return code


class ClaimForm(CarPartForm):
    """What whoever claims a unit tells: a word to its workshop, the car, its odometer."""

    consents = forms.ChoiceField(
        label=_("May the workshop that built it see how it is used?"),
        choices=[("yes", _("Yes, until I take it back")), ("no", _("No"))],
        widget=forms.RadioSelect,
        error_messages={"required": _("Say yes or no; you can change it at any time.")},
    )
    date = PastDateField(label=_("In it since"))
    shown = ShownField(
        label=_("The odometer showed"),
        required=False,
        help_text=_("Leave it empty if nobody looked."),
    )
    field_order = ("consents", "car")

    def __init__(self, *args: Any, by: Person, offer: HandOver, **kwargs: Any) -> None:
        super().__init__(*args, by=by, **kwargs)
        self.offer = offer
        if offer.unit.workshop is None:
            del self.fields["consents"]
        if offer.with_car:
            for name in ("car", "maker", "model", "year", "odometer_unit", "odometer_digits"):
                del self.fields[name]
            del self.fields["date"], self.fields["shown"]
            return
        car = self.fields["car"]
        assert isinstance(car, forms.ChoiceField)
        car.choices = [*self.car_choices, (NO_CAR, _("In no car yet"))]
        car.required = True
        self.fields["maker"].required = False

    def clean(self) -> dict[str, Any]:
        """Ask for the maker of a car that isn't in the register yet."""
        data = super().clean()
        new = data.get("car") == NEW_CAR
        if new and not data.get("maker", "").strip() and "maker" not in self.errors:
            self.add_error("maker", ValidationError(_("Say who made the car.")))
        return data

    @property
    def told(self) -> dict[str, Any]:
        """What the action is told."""
        data = self.cleaned_data
        told: dict[str, Any] = {
            "consents": data["consents"] == "yes" if "consents" in data else None,
            "confirm": self.confirms,
        }
        if not self.offer.with_car and data["car"] != NO_CAR:
            told |= {"car": self.chosen_car, "fitted_on": data["date"], "shown": data["shown"]}
        return told


class TakeOnForm(CodeForm):
    """The code of a unit that an owner brings, and the design that it is built to from now on."""

    design = forms.ModelChoiceField(
        label=_("Design"),
        queryset=Design.objects.none(),
        required=False,
        empty_label=_("As its owner told it"),
    )

    def __init__(self, *args: Any, workshop: Organisation, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        design = self.fields["design"]
        assert isinstance(design, forms.ModelChoiceField)
        design.queryset = Design.objects.filter(workshop=workshop)
