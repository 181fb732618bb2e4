"""Forms of the people app."""

import zoneinfo
from typing import Any

from django import forms
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.enums import (
    ROLES_OF,
    SCOPES_OF,
    ConsentScope,
    DistanceUnit,
    OrganisationKind,
    SmallLengthUnit,
    TemperatureUnit,
    VolumeUnit,
)
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.people.words import WHAT_A_ROLE_DOES, WHAT_IT_SHOWS

# Areas of the zone database that name no place, or name one a second time.
NO_PLACES = (
    "Etc/",
    "US/",
    "Canada/",
    "Brazil/",
    "Chile/",
    "Mexico/",
    "SystemV/",
    "posix/",
    "right/",
)


class SignupForm(forms.Form):
    """What is asked besides e-mail and password."""

    name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )

    def signup(self, request: HttpRequest, user: Any) -> None:
        """Keep the name on the new person."""
        user.name = self.cleaned_data["name"]
        user.save(update_fields=["name"])


class RefusableForm(forms.Form):
    """A form whose action may refuse what was typed."""

    use_required_attribute = False

    def refuse(self, refusal: Refused) -> None:
        """Say why at the field it concerns; what was typed stays."""
        self.add_error(refusal.field if refusal.field in self.fields else None, refusal.message)


class OrganisationForm(RefusableForm):
    """What others read of a workshop or club."""

    name = forms.CharField(label=_("Name"), max_length=120)
    email = forms.EmailField(
        label=_("E-mail address"),
        required=False,
        error_messages={"invalid": _("Enter the whole address, such as name@example.org.")},
    )
    phone = forms.CharField(
        label=_("Telephone"),
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "tel"}),
    )


class NewOrganisationForm(OrganisationForm):
    """The same for one that is not there yet."""

    kind = forms.ChoiceField(
        label=_("It is a"), choices=OrganisationKind.choices, widget=forms.RadioSelect
    )
    field_order = ("kind", "name", "email", "phone")


class InvitationForm(RefusableForm):
    """Whom to invite, and as what."""

    email = forms.EmailField(
        label=_("E-mail address"),
        help_text=_("Whoever it belongs to gets a letter. It holds for two weeks."),
        error_messages={"invalid": _("Enter the whole address, such as name@example.org.")},
    )
    role = forms.ChoiceField(label=_("As"), widget=forms.RadioSelect)

    def __init__(self, *args: Any, organisation: Organisation, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["role"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [
            (role.value, f"{role.label}: {WHAT_A_ROLE_DOES[role]}")
            for role in ROLES_OF[organisation.kind_of]
        ]


class ConsentForm(RefusableForm):
    """To which workshop or club, and how far."""

    organisation = forms.ModelChoiceField(label=_("To"), queryset=Organisation.objects.none())
    scope = forms.ChoiceField(label=_("What it sees"), widget=forms.RadioSelect)

    def __init__(self, *args: Any, kind: OrganisationKind, by: Person, **kwargs: Any) -> None:
        kwargs["prefix"] = kind.value
        super().__init__(*args, **kwargs)
        self.kind = kind
        organisation, scope = self.fields["organisation"], self.fields["scope"]
        assert isinstance(organisation, forms.ModelChoiceField)
        assert isinstance(scope, forms.ChoiceField)
        organisation.queryset = rules.organisations_where(by, Permission.FIND_ORGANISATION).filter(
            kind=kind
        )
        organisation.label = kind.label
        organisation.empty_label = _("Choose one")
        scopes = SCOPES_OF[kind]
        # what the one thing that can be chosen means, where there is no choice
        self.only_words = WHAT_IT_SHOWS[scopes[0]] if len(scopes) == 1 else ""
        if self.only_words:
            scope.widget = forms.HiddenInput()
            scope.initial = scopes[0]
        scope.choices = [(one.value, WHAT_IT_SHOWS[one]) for one in scopes]

    @property
    def is_possible(self) -> bool:
        """Whether there is anybody to choose."""
        organisation = self.fields["organisation"]
        assert isinstance(organisation, forms.ModelChoiceField)
        return organisation.queryset is not None and organisation.queryset.exists()

    @property
    def chosen(self) -> ConsentScope:
        """The scope that was chosen."""
        return ConsentScope(self.cleaned_data["scope"])


class PreferencesForm(RefusableForm):
    """A person's name, units and zone."""

    name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        help_text=_("As the workshop reads it."),
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    small_length_unit = forms.ChoiceField(
        label=_("Clearances in"), choices=SmallLengthUnit.choices, widget=forms.RadioSelect
    )
    distance_unit = forms.ChoiceField(
        label=_("Distances in"), choices=DistanceUnit.choices, widget=forms.RadioSelect
    )
    volume_unit = forms.ChoiceField(
        label=_("Oil in"), choices=VolumeUnit.choices, widget=forms.RadioSelect
    )
    temperature_unit = forms.ChoiceField(
        label=_("Temperatures in"), choices=TemperatureUnit.choices, widget=forms.RadioSelect
    )
    zone = forms.ChoiceField(
        label=_("Time zone"),
        help_text=_(
            "What is due today, at what hour reminders come, and when your winter is, go by it."
        ),
    )

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["zone"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = zones(by.zone)


def zones(current: str) -> list[tuple[str, list[tuple[str, str]]]]:
    """Return the zones of places by part of the world, and the current one whatever it is."""
    areas: dict[str, list[tuple[str, str]]] = {}
    for name in sorted({*zoneinfo.available_timezones(), current}):
        area, slash, place = name.partition("/")
        if name == current or name == "UTC" or (slash and not name.startswith(NO_PLACES)):
            words = place.replace("_", " ").replace("/", ", ") or name
            areas.setdefault(area, []).append((name, words))
    return list(areas.items())
